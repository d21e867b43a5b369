import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export type CountedRow = {
  collection_id: string;
  site_id: string;
  placement_id: string;
  machine_id: string;
  currency: CurrencyCode;
  happened_at: Date;
  local_date: LocalDate;
  accounting_date: LocalDate;
  coin_minor: bigint;
  note_minor: bigint;
  metered_minor: bigint;
  left_out: boolean;
};

/**
 * The boxes of some collections of which meters imply an amount, their parts together, as they stand. House coin and bad
 * coin are no takings, but the machine took them and its meters have them. `left_out` where a
 * break-in was recorded since the count before.
 */
export async function selectCounted(tx: TenantTransaction, collectionIds: readonly string[]): Promise<CountedRow[]> {
  const { rows } = await tx.sql<CountedRow>(
    `SELECT box.*, EXISTS (
              SELECT FROM break_in k
               WHERE k.tenant_id = $1 AND k.placement_id = box.placement_id AND k.happened_on <= box.local_date
                 AND NOT EXISTS (SELECT FROM break_in newer WHERE newer.tenant_id = k.tenant_id AND newer.replaces_id = k.id)
                 AND NOT EXISTS (SELECT FROM box_count b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
                                  WHERE b.tenant_id = $1 AND b.placement_id = k.placement_id AND c.happened_at < box.happened_at AND c.local_date > k.happened_on)) AS left_out
       FROM (
         SELECT c.id AS collection_id, c.site_id, b.placement_id, b.machine_id, c.currency, c.happened_at, c.local_date, c.accounting_date,
                sum(b.coin_minor + b.house_coin_minor + b.bad_coin_minor)::bigint AS coin_minor, sum(b.note_minor)::bigint AS note_minor, sum(b.metered_minor)::bigint AS metered_minor
           FROM collection c
           JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id
          WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[])
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
          GROUP BY c.id, c.site_id, b.placement_id, b.machine_id, c.currency, c.happened_at, c.local_date, c.accounting_date
         HAVING count(b.metered_minor) > 0) box`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}
