import type { KeyHolding } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import type { Moment } from './moment';
import { custodyAt, holderColumns, holderJoins, knownEnd, theEnd, theHolder, type HolderRow } from './whereabouts.sql';

export type HoldingsFilter = {
  readonly personId: string | null;
  readonly storeId: string | null;
  readonly keyCodeId: string | null;
  readonly class: string | null;
  /** Held by somebody of these sites or hung at a place there. */
  readonly heldAtSiteIds: readonly string[] | null;
  readonly opensAtSiteId: string | null;
  /** Number of the copy after which to continue. */
  readonly after: string | null;
  /** `null`: all. */
  readonly limit: number | null;
};

export type HoldingRow = HolderRow & { key_copy_id: string; number: string; key_code_id: string; code: string; class: KeyHolding['class']; outside_copies: boolean };

/**
 * Copies that there were at a moment, by number, and where each was. Only what is asked for is written into the statement,
 * and names are looked up for the page that is cut first: a plan for any question would read all copies.
 */
export async function selectHoldings(tx: TenantTransaction, query: Moment & HoldingsFilter): Promise<HoldingRow[]> {
  const values: unknown[] = [tx.tenantId, query.at, query.knownAt];
  const given = (value: unknown): string => `$${values.push(value)}`;
  const isOfHolder = query.personId !== null || query.storeId !== null || query.heldAtSiteIds !== null;
  const source = isOfHolder ? copiesHeldBy(given(await holderIds(tx, query)), query.asOf) : `key_copy copy CROSS JOIN LATERAL (${custodyAt('copy', '$2', '$3')}) held`;
  const page = query.limit === null ? '' : `LIMIT ${given(query.limit)}`;
  const conditions = [
    `copy.tenant_id = $1 AND held.state <> 'destroyed'`,
    query.after !== null && `copy.number > ${given(query.after)}`,
    query.class !== null && `copy.class = ${given(query.class)}`,
    query.keyCodeId !== null && `copy.key_code_id = ${given(query.keyCodeId)}`,
    query.opensAtSiteId !== null &&
      `copy.key_code_id = ANY (ARRAY(SELECT fitted.key_code_id FROM (${fittedAt('$2', '$3')}) fitted WHERE fitted.site_id = ${given(query.opensAtSiteId)}))`,
    // Ids of two kinds of things may happen to be equal.
    query.personId !== null && 'held.person_id IS NOT NULL',
    query.storeId !== null && 'held.store_id IS NOT NULL',
  ].filter((condition) => condition !== false);
  const { rows } = await tx.sql<HoldingRow>(
    `SELECT ${holdingColumns}
       FROM (SELECT ${heldCopyColumns} FROM ${source} WHERE $2::timestamptz IS NOT NULL AND $3::timestamptz IS NOT NULL AND ${conditions.join(' AND ')}
              ORDER BY copy.number ${page}) copy
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       ${holderJoins('copy')}
      ORDER BY copy.number`,
    values,
  );
  return rows;
}

/** Rows of copies with their custody, and the columns of an answer that names both. */
export const heldCopyColumns = 'copy.id, copy.number, copy.key_code_id, copy.class, held.state, held.held_from, held.person_id, held.store_id, held.place_id, held.event_id, held.due_back_at';
export const holdingColumns = `copy.id AS key_copy_id, copy.number, copy.key_code_id, k.code, copy.class, k.outside_copies, ${holderColumns('copy')}`;

/** Copies that were with any of these holders ($2 at, $3 known). OFFSET 0: each is looked up, instead of all being read. */
export function copiesHeldBy(holders: string, asOf: Moment['asOf']): string {
  return `unnest(${holders}::uuid[]) AS holder (id)
          CROSS JOIN LATERAL (${heldByAt('holder.id', asOf)}) held
          CROSS JOIN LATERAL (SELECT c.* FROM key_copy c WHERE c.tenant_id = $1 AND c.id = held.key_copy_id OFFSET 0) copy`;
}

/** Whose copies are asked for, where something is said about holders. What names two kinds at once names nobody. */
async function holderIds(tx: TenantTransaction, { personId, storeId, heldAtSiteIds }: HoldingsFilter): Promise<readonly string[]> {
  const named = personId ?? storeId;
  if (heldAtSiteIds === null) return named === null || (personId !== null && storeId !== null) ? [] : [named];
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT id FROM person WHERE tenant_id = $1 AND site_id = ANY ($2::uuid[]) UNION ALL SELECT id FROM key_place WHERE tenant_id = $1 AND site_id = ANY ($2::uuid[])`,
    [tx.tenantId, heldAtSiteIds],
  );
  return rows.flatMap(({ id }) => (named === null || named === id ? [id] : []));
}

/**
 * What somebody held at a moment ($2), as known at another ($3). Written three ways, because each has an index that keeps
 * out of it what is over: what is so now, what was so as known now, and what was once believed. OFFSET 0 keeps the planner
 * from turning the question round and reading the rows of everybody.
 */
export function heldByAt(holder: string, asOf: Moment['asOf']): string {
  const ofHolder = `SELECT c.* FROM custody c WHERE c.tenant_id = $1 AND ${theHolder('c')} = ${holder}`;
  if (asOf === 'now') return `${ofHolder} AND c.held_to IS NULL AND c.known_to IS NULL OFFSET 0`;
  const then = `${ofHolder} AND c.held_from <= $2 AND ${theEnd('c')} > $2`;
  const knownNow = `${then} AND c.known_to IS NULL`;
  if (asOf === 'known-now') return `${knownNow} OFFSET 0`;
  return `${knownNow} AND c.known_from <= $3 UNION ALL ${then} AND c.known_from <= $3 AND c.known_to IS NOT NULL AND c.known_to > $3 OFFSET 0`;
}

/** Locks that were on machines at a moment, with the site where the machine stood by the day there. */
export function fittedAt(at: string, known: string): string {
  return `
    SELECT l.id AS lock_id, l.key_code_id, l.machine_id, l.place, l.opens, l.class, p.site_id
      FROM machine_lock l
      LEFT JOIN LATERAL (
        SELECT p.site_id FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
         WHERE p.tenant_id = $1 AND p.machine_id = l.machine_id AND p.placed_on <= (${at}::timestamptz AT TIME ZONE s.time_zone)::date
           AND (p.removed_on IS NULL OR p.removed_on > (${at}::timestamptz AT TIME ZONE s.time_zone)::date)
         ORDER BY p.placed_on DESC LIMIT 1) p ON true
     WHERE l.tenant_id = $1 AND l.fitted_at <= ${at} AND l.recorded_at <= ${known}
       AND coalesce(${knownEnd('l.removed_at', 'l.removal_recorded_at', known)}, 'infinity') > ${at}`;
}

export type FittedCountRow = { key_code_id: string; machines: number; sites: number };

/** How much each cut opens; at these sites alone where they are given. */
export async function selectFittedCounts(tx: TenantTransaction, query: Moment & { keyCodeIds: readonly string[]; siteIds: readonly string[] | null }): Promise<FittedCountRow[]> {
  const { rows } = await tx.sql<FittedCountRow>(
    `SELECT fitted.key_code_id, count(DISTINCT fitted.machine_id)::int AS machines, count(DISTINCT fitted.site_id)::int AS sites
       FROM (${fittedAt('$2', '$3')} AND l.key_code_id = ANY ($4::uuid[])) fitted
      WHERE $5::uuid[] IS NULL OR fitted.site_id = ANY ($5)
      GROUP BY fitted.key_code_id`,
    [tx.tenantId, query.at, query.knownAt, query.keyCodeIds, query.siteIds],
  );
  return rows;
}
