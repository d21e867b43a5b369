import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';

export type TubesRow = {
  file_id: string;
  collection_id: string;
  site_code: string;
  collector_name: string | null;
  machine_tag: string;
  currency: CurrencyCode;
  fund_codes: string[];
  booked_minor: bigint;
  /** When one of the funds was counted last; null where none ever was. */
  was_counted: boolean;
  counted_file_id: string | null;
  before_file_id: string | null;
  /** Filled into the funds after the day of the read-out before. */
  filled_minor: bigint;
};

/**
 * Machines with change tubes that were read out at accepted collections of a day: the file, the ones before and of the day on
 * which the fund was counted last, and what the books have of it at the end of the day.
 */
export async function selectTubes(tx: TenantTransaction, day: string): Promise<TubesRow[]> {
  const { rows } = await tx.sql<TubesRow>(
    `WITH read_out AS (
       SELECT f.id, f.machine_id, c.id AS collection_id, c.happened_at, c.local_date, c.site_id, c.collected_by
         FROM audit_file f JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
        WHERE f.tenant_id = $1 AND f.state = 'accepted' AND c.state = 'accepted'),
     fund AS (
       SELECT g.machine_id, g.currency, array_agg(g.id ORDER BY g.code) AS ids, array_agg(g.code ORDER BY g.code) AS codes
         FROM change_fund g WHERE g.tenant_id = $1 AND g.machine_id IS NOT NULL AND g.kind IN ('changer', 'tubes') GROUP BY g.machine_id, g.currency)
     SELECT r.id AS file_id, r.collection_id, s.code AS site_code, p.name AS collector_name, m.tag AS machine_tag, fund.currency, fund.codes AS fund_codes,
            (SELECT coalesce(sum(o.amount_minor), 0)::bigint FROM journal_posting o JOIN journal_entry e ON e.tenant_id = $1 AND e.id = o.journal_entry_id
              WHERE o.tenant_id = $1 AND o.account_code = ANY (SELECT 'cash-in-float:' || id FROM unnest(fund.ids) AS id) AND o.currency = fund.currency AND e.accounting_date <= $2) AS booked_minor,
            counted.day IS NOT NULL AS was_counted,
            (SELECT b.id FROM read_out b WHERE b.machine_id = r.machine_id AND b.local_date = counted.day AND b.happened_at <= r.happened_at ORDER BY b.happened_at DESC LIMIT 1) AS counted_file_id,
            before.id AS before_file_id,
            (SELECT coalesce(sum(v.amount_minor), 0)::bigint FROM cash_move v
              WHERE v.tenant_id = $1 AND v.fund_id = ANY (fund.ids) AND v.kind = 'fund-filled' AND v.takes_back_id IS NULL AND v.moved_on > before.local_date AND v.moved_on <= $2
                AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = v.id)) AS filled_minor
       FROM read_out r
       JOIN fund ON fund.machine_id = r.machine_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = r.machine_id
       JOIN site s ON s.tenant_id = $1 AND s.id = r.site_id
       LEFT JOIN person p ON p.tenant_id = $1 AND p.id = r.collected_by
       CROSS JOIN LATERAL (SELECT max(t.counted_on) AS day FROM cash_stocktake t WHERE t.tenant_id = $1 AND t.fund_id = ANY (fund.ids) AND t.counted_on <= $2) counted
       LEFT JOIN LATERAL (SELECT b.id, b.local_date FROM read_out b WHERE b.machine_id = r.machine_id AND b.happened_at < r.happened_at ORDER BY b.happened_at DESC LIMIT 1) before ON true
      WHERE r.local_date = $2
      ORDER BY s.code, m.tag, r.happened_at`,
    [tx.tenantId, day],
  );
  return rows;
}
