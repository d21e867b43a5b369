import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { waitingFor } from '../variance/waiting.sql';
import { withCollector } from './cash-place.sql';
import type { CollectionState } from './collection.sql';
import { goesByMeters } from './metered.sql';
import { hasUncounted } from './uncounted.sql';

export type WaitingCollection = {
  id: string;
  site_id: string;
  site_code: string;
  state: CollectionState;
  currency: CurrencyCode;
  accounting_date: LocalDate;
  agreement_id: string | null;
  collected_by: string | null;
  /** A box was opened there, and no count says what was in it. */
  has_uncounted: boolean;
  /** The terms of that day go by the meters; null without terms. */
  goes_by_meters: boolean | null;
};

/**
 * Shares the locks of the agreements under which the collections fall, in one order everywhere: none of them ends, and no
 * terms of theirs change, before these collections are in the books.
 */
export async function shareAgreementsOf(tx: TenantTransaction, ids: readonly string[]): Promise<void> {
  await tx.sql(
    `SELECT FROM agreement
      WHERE tenant_id = $1 AND id IN (
        SELECT a.id FROM collection c
          JOIN agreement a ON a.tenant_id = c.tenant_id AND a.site_id = c.site_id
                          AND daterange(a.started_on, a.ended_on, '[)') @> c.accounting_date
         WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]))
      ORDER BY id FOR SHARE`,
    [tx.tenantId, ids],
  );
}

/** The collections with the agreement that held at their site on their accounting date, by site and date. */
export async function selectWaiting(tx: TenantTransaction, ids: readonly string[]): Promise<WaitingCollection[]> {
  const { rows } = await tx.sql<WaitingCollection>(
    `SELECT c.id, c.site_id, s.code AS site_code, c.state, c.currency, c.accounting_date, a.id AS agreement_id, c.collected_by, ${hasUncounted('c.id')} AS has_uncounted,
            ${goesByMeters({ agreementId: 'a.id', day: 'c.accounting_date' })} AS goes_by_meters
       FROM collection c
       JOIN site s ON s.tenant_id = c.tenant_id AND s.id = c.site_id
       LEFT JOIN agreement a ON a.tenant_id = c.tenant_id AND a.site_id = c.site_id
                            AND daterange(a.started_on, a.ended_on, '[)') @> c.accounting_date
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[])
      ORDER BY s.code, c.accounting_date, c.id`,
    [tx.tenantId, ids],
  );
  return rows;
}

/** Accepts those that are counted, and says which; one that somebody else accepted meanwhile is missing from the answer. */
export async function markAccepted(tx: TenantTransaction, { ids, now }: { ids: readonly string[]; now: Date }): Promise<Set<string>> {
  const { rows } = await tx.sql<{ id: string }>(
    `UPDATE collection SET state = 'accepted', accepted_at = $3, accepted_by = $4
      WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state = 'counted' RETURNING id`,
    [tx.tenantId, ids, now, tx.actor],
  );
  return new Set(rows.map((row) => row.id));
}

/** `with_collector_minor`: of it what is with who collected until it is handed in; null where the room counted all. */
export type CollectedCash = { collection_id: string; counted_minor: bigint; with_collector_minor: bigint | null; refunds_by_operator_minor: bigint; is_metered: boolean; is_waited_for: boolean };

/** What came out of the boxes of each collection, what the operator's people gave back to players, whether meters imply something, and whether a later count may have waited for it. */
export async function selectCash(tx: TenantTransaction, ids: readonly string[]): Promise<CollectedCash[]> {
  const { rows } = await tx.sql<CollectedCash>(
    `SELECT wanted.id AS collection_id, coalesce(counted.minor, 0) AS counted_minor, ${withCollector('c', { filled: false })} AS with_collector_minor, coalesce(refunded.minor, 0) AS refunds_by_operator_minor,
            coalesce(counted.is_metered, false)
              OR EXISTS (SELECT FROM box_metered apart WHERE apart.tenant_id = $1 AND apart.collection_id = wanted.id)
              OR EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.collection_id = wanted.id) OR EXISTS (
                SELECT FROM box_count b JOIN counter_board k ON k.tenant_id = $1 AND k.machine_id = b.machine_id WHERE b.tenant_id = $1 AND b.collection_id = wanted.id) AS is_metered,
            EXISTS (SELECT FROM (${waitingFor('wanted.id')}) waits) AS is_waited_for
       FROM unnest($2::uuid[]) AS wanted (id)
       JOIN collection c ON c.tenant_id = $1 AND c.id = wanted.id
       LEFT JOIN LATERAL (
         SELECT sum(b.coin_minor + b.note_minor)::bigint AS minor, bool_or(b.metered_minor IS NOT NULL) AS is_metered FROM box_count b
          WHERE b.tenant_id = $1 AND b.collection_id = wanted.id
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)) counted ON true
       LEFT JOIN LATERAL (
         SELECT sum(r.amount_minor)::bigint AS minor FROM refund_slip r
          WHERE r.tenant_id = $1 AND r.collection_id = wanted.id AND r.paid_by = 'operator'
            AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id)) refunded ON true`,
    [tx.tenantId, ids],
  );
  return rows;
}

export type Handed = { readonly party: string; readonly amountMinor: bigint };

/** Cash handed out before bagging, by collection. */
export async function selectHandedByCollection(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, readonly Handed[]>> {
  const { rows } = await tx.sql<{ collection_id: string; party_id: string; amount_minor: bigint }>(
    `SELECT h.collection_id, h.party_id, h.amount_minor FROM cash_handed h
      WHERE h.tenant_id = $1 AND h.collection_id = ANY ($2::uuid[])
        AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id)
      ORDER BY h.id`,
    [tx.tenantId, ids],
  );
  const byCollection = new Map<string, Handed[]>();
  for (const row of rows) {
    const handed = byCollection.get(row.collection_id) ?? [];
    byCollection.set(row.collection_id, handed);
    handed.push({ party: row.party_id, amountMinor: row.amount_minor });
  }
  return byCollection;
}
