import type { KeyWhereabouts } from '#contracts/key-whereabouts';
import { formatInstant } from '#contracts/format';
import { holderNameJoins, holderNames, type HolderNames } from './holder-names.sql';

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

/** Rows of custody that were so at a moment, as the books had them at another: as the indexes over both times have it. */
export const custodyThen = (alias: string, at: string, known: string): string => `
  ${alias}.held_from <= ${at} AND ${theEnd(alias)} > ${at}
  AND ${alias}.known_from <= ${known} AND CASE WHEN ${alias}.known_to IS NULL THEN 'infinity'::timestamptz ELSE ${alias}.known_to END > ${known}`;

/** The same for the present, of which there are indexes that hold nothing that is over. */
export const custodyNow = (alias: string): string => `${alias}.held_to IS NULL AND ${alias}.known_to IS NULL`;

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
export const holderColumns = (custody: string): string => `${custody}.state, ${custody}.held_from AS since, ${holderNames({ of: `${custody}.`, as: 'holder' })}, ${custody}.due_back_at`;
export const holderJoins = (custody: string): string => holderNameJoins({ of: `${custody}.`, as: 'holder' });

export type HolderRow = HolderNames<'holder'> & { state: KeyWhereabouts['state']; since: Date; due_back_at: Date | null };

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
