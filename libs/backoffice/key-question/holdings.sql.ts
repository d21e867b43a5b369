import type { KeyHolding } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import type { Moment } from './moment';
import { custodyAt, holderColumns, holderJoins, knownCustody, knownEnd, type HolderRow } from './whereabouts.sql';

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

/** What the two ways below select and filter alike. $2 at, $3 known, $4 after, $5 limit, $6 class, $7 code, $8 site that it opens something at. */
const columns = `copy.id AS key_copy_id, copy.number, copy.key_code_id, k.code, copy.class, k.outside_copies, ${holderColumns('held')}`;
const joins = `JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id ${holderJoins('held')}`;
const filters = `
  AND held.state <> 'destroyed' AND ($4::text IS NULL OR copy.number > $4) AND ($6::text IS NULL OR copy.class = $6) AND ($7::uuid IS NULL OR copy.key_code_id = $7)
  AND ($8::uuid IS NULL OR copy.key_code_id IN (SELECT fitted.key_code_id FROM (${fittedAt('$2', '$3')}) fitted WHERE fitted.site_id = $8))
  ORDER BY copy.number LIMIT $5`;

/** Copies that there were at a moment, by number, and where each was. */
export async function selectHoldings(tx: TenantTransaction, query: Moment & HoldingsFilter): Promise<HoldingRow[]> {
  const common = [tx.tenantId, query.at, query.knownAt, query.after, query.limit, query.class, query.keyCodeId, query.opensAtSiteId];
  if (query.personId === null && query.storeId === null && query.heldAtSiteIds === null) {
    const { rows } = await tx.sql<HoldingRow>(
      `SELECT ${columns} FROM key_copy copy CROSS JOIN LATERAL (${custodyAt('copy', '$2', '$3')}) held ${joins} WHERE copy.tenant_id = $1 ${filters}`,
      common,
    );
    return rows;
  }
  const { rows } = await tx.sql<HoldingRow>(
    `WITH holder AS (
       SELECT $9::uuid AS id WHERE $9 IS NOT NULL
       UNION ALL SELECT $10::uuid WHERE $10 IS NOT NULL
       UNION ALL SELECT id FROM person WHERE tenant_id = $1 AND site_id = ANY ($11::uuid[])
       UNION ALL SELECT id FROM key_place WHERE tenant_id = $1 AND site_id = ANY ($11::uuid[]))
     SELECT ${columns}
       FROM holder CROSS JOIN LATERAL (${heldByAt('holder.id', query.asOf)}) held
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = held.key_copy_id
       ${joins}
      WHERE ($9::uuid IS NULL OR held.person_id = $9) AND ($10::uuid IS NULL OR held.store_id = $10)
        AND ($11::uuid[] IS NULL OR holder_person.site_id = ANY ($11) OR holder_place.site_id = ANY ($11)) ${filters}`,
    [...common, query.personId, query.storeId, query.heldAtSiteIds],
  );
  return rows;
}

export const theHolder = 'coalesce(c.person_id, c.store_id, c.place_id)';

/**
 * What somebody held at a moment ($2), as known at another ($3). Written three ways, because each has an index that keeps
 * out of it what is over: what is so now, what was so as known now, and what was once believed.
 */
export function heldByAt(holder: string, asOf: Moment['asOf']): string {
  const ofHolder = `SELECT c.* FROM custody c WHERE c.tenant_id = $1 AND ${theHolder} = ${holder}`;
  if (asOf === 'now') return `${ofHolder} AND c.held_to IS NULL AND c.known_to IS NULL`;
  const then = `${ofHolder} AND c.held_from <= $2 AND coalesce(c.held_to, 'infinity') > $2`;
  return asOf === 'known-now' ? `${then} AND c.known_to IS NULL` : `${then} AND ${knownCustody('c', '$3')}`;
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
