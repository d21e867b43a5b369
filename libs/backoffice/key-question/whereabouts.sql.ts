import type { KeyWhereabouts } from '#contracts/key-whereabouts';
import { formatInstant } from '#contracts/format';

/**
 * Pieces of SQL that the questions share. `at` and `known` are the parameters of a question's moment, as `$2`.
 *
 * Everything goes by plain comparisons of instants. Row security lets an index serve a comparison only when that cannot
 * give away other rows ("leakproof"), which holds for instants and not for ranges, nor for COALESCE: `held @> $2` would
 * read all rows of the operator.
 */

/** Rows of custody as the books had them at a moment. */
export const knownCustody = (alias: string, known: string): string => `${alias}.known_from <= ${known} AND (${alias}.known_to IS NULL OR ${alias}.known_to > ${known})`;

/** Who or what has the copy, and until when, as the indexes of custody by holder have it. */
export const theHolder = (alias: string): string =>
  `CASE WHEN ${alias}.person_id IS NOT NULL THEN ${alias}.person_id WHEN ${alias}.store_id IS NOT NULL THEN ${alias}.store_id ELSE ${alias}.place_id END`;
export const theEnd = (alias: string): string => `CASE WHEN ${alias}.held_to IS NULL THEN 'infinity'::timestamptz ELSE ${alias}.held_to END`;

/** An end counts once it was recorded. */
export const knownEnd = (end: string, recorded: string, known: string): string => `CASE WHEN ${recorded} <= ${known} THEN ${end} END`;

/**
 * Where the copy was at a moment, by one step in an index: what is known has no gaps, so the last row that begins by then
 * is the one that holds.
 */
export const custodyAt = (copy: string, at: string, known: string): string => `
  SELECT c.* FROM custody c
   WHERE c.tenant_id = $1 AND c.key_copy_id = ${copy}.id AND c.held_from <= ${at} AND ${knownCustody('c', known)}
     AND (c.held_to IS NULL OR c.held_to > ${at})
   ORDER BY c.held_from DESC LIMIT 1`;

/** Names of the holder of `custody`, an alias of rows of that table. */
export const holderColumns = (custody: string): string => `
  ${custody}.state, ${custody}.held_from AS since,
  CASE WHEN ${custody}.person_id IS NOT NULL THEN 'person' WHEN ${custody}.store_id IS NOT NULL THEN 'store' WHEN ${custody}.place_id IS NOT NULL THEN 'place' END AS holder_kind,
  coalesce(${custody}.person_id, ${custody}.store_id, ${custody}.place_id) AS holder_id,
  coalesce(holder_person.code, holder_store.code, holder_place.code) AS holder_code,
  coalesce(holder_person.name, holder_store.name, holder_place.name) AS holder_name,
  holder_site.id AS holder_site_id, holder_site.code AS holder_site_code, brought.due_back_at`;

export const holderJoins = (custody: string): string => `
  LEFT JOIN person holder_person ON holder_person.tenant_id = $1 AND holder_person.id = ${custody}.person_id
  LEFT JOIN key_store holder_store ON holder_store.tenant_id = $1 AND holder_store.id = ${custody}.store_id
  LEFT JOIN key_place holder_place ON holder_place.tenant_id = $1 AND holder_place.id = ${custody}.place_id
  LEFT JOIN site holder_site ON holder_site.tenant_id = $1 AND holder_site.id = coalesce(holder_person.site_id, holder_place.site_id)
  LEFT JOIN custody_event brought ON brought.tenant_id = $1 AND brought.id = ${custody}.event_id`;

export type HolderRow = {
  state: KeyWhereabouts['state'];
  since: Date;
  holder_kind: 'person' | 'store' | 'place' | null;
  holder_id: string;
  holder_code: string;
  holder_name: string;
  holder_site_id: string | null;
  holder_site_code: string | null;
  due_back_at: Date | null;
};

export function toWhereabouts(row: HolderRow): KeyWhereabouts {
  return {
    state: row.state,
    since: formatInstant(row.since),
    dueBackAt: row.due_back_at && formatInstant(row.due_back_at),
    holder:
      row.holder_kind === null
        ? null
        : { kind: row.holder_kind, id: row.holder_id, code: row.holder_code, name: row.holder_name, siteId: row.holder_site_id, siteCode: row.holder_site_code },
  };
}
