/**
 * Who can take keys out of a store or from a named place: its custodian, who answers for the place, who may use it. One
 * source for every question that asks it, so that no two of them can differ about the past. Compared by plain instants,
 * as an index serves under row security.
 */
export type KeeperKind = 'custodian' | 'responsible' | 'user';

/** All of them, of all times, as a table; `$1` is the operator. */
export const keepers = `(
  SELECT key_store_id AS holder_id, person_id, 'custodian' AS kind, started_at, ended_at, recorded_at, end_recorded_at FROM key_custodian WHERE tenant_id = $1
  UNION ALL
  SELECT key_place_id, person_id, 'user', started_at, ended_at, recorded_at, end_recorded_at FROM key_place_user WHERE tenant_id = $1
  UNION ALL
  SELECT key_place_id, person_id, 'responsible', CASE WHEN started_at IS NULL THEN '-infinity'::timestamptz ELSE started_at END, ended_at, recorded_at, end_recorded_at
    FROM key_place_responsible WHERE tenant_id = $1)`;

/** So at a moment, as the books have it now. */
export const keptAt = (alias: string, at: string): string => `${alias}.started_at <= ${at} AND (${alias}.ended_at IS NULL OR ${alias}.ended_at > ${at})`;

/** So at a moment, as the books had it at another: an end counts once it was recorded. */
export const keptThen = (alias: string, { at, known }: { readonly at: string; readonly known: string }): string =>
  `${alias}.started_at <= ${at} AND ${alias}.recorded_at <= ${known} AND ${notOver(alias, { at, known })}`;

/** So at some time from `from` to before `before`, as the books had it. */
export const keptIn = (alias: string, { from, before, known }: { readonly from: string; readonly before: string; readonly known: string }): string =>
  `${alias}.started_at < ${before} AND ${alias}.recorded_at <= ${known} AND ${notOver(alias, { at: from, known })}`;

const notOver = (alias: string, { at, known }: { readonly at: string; readonly known: string }): string =>
  `(${alias}.ended_at IS NULL OR ${alias}.end_recorded_at > ${known} OR ${alias}.ended_at > ${at})`;
