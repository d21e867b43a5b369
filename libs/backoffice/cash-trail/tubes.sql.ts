import type { TenantTransaction } from '#database/tenant';
import type { TubesMove } from '#domain/cash-trail/tubes';
import type { CurrencyCode } from '#domain/money/currency';

export type TubesRow = {
  file_id: string;
  collection_id: string;
  site_code: string;
  collector_name: string | null;
  machine_tag: string;
  currency: CurrencyCode;
  fund_ids: string[];
  fund_codes: string[];
  /** How many of the funds were ever counted, and on how many days each was counted last. */
  funds_counted: number;
  days_counted: number;
  /** Of the latest count of each fund, where it was on one day. */
  counted_on: string | null;
  counted_minor: bigint;
  counted_file_id: string | null;
  before_file_id: string | null;
  before_day: string | null;
  earlier_file_id: string | null;
  earlier_day: string | null;
};

/**
 * Machines with change tubes that were read out at accepted collections of a day: the file, the two before and that of the day
 * on which the funds were counted last.
 */
export async function selectTubes(tx: TenantTransaction, day: string): Promise<TubesRow[]> {
  const { rows } = await tx.sql<TubesRow>(
    `WITH read_out AS NOT MATERIALIZED (
       SELECT f.id, f.machine_id, c.id AS collection_id, c.happened_at, c.local_date, c.site_id, c.collected_by
         FROM audit_file f JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
        WHERE f.tenant_id = $1 AND f.state = 'accepted' AND c.state = 'accepted'),
     fund AS (
       SELECT g.machine_id, g.currency, array_agg(g.id ORDER BY g.code) AS ids, array_agg(g.code ORDER BY g.code) AS codes
         FROM change_fund g WHERE g.tenant_id = $1 AND g.machine_id IS NOT NULL AND g.kind IN ('changer', 'tubes') GROUP BY g.machine_id, g.currency)
     SELECT r.id AS file_id, r.collection_id, s.code AS site_code, p.name AS collector_name, m.tag AS machine_tag, fund.currency, fund.ids AS fund_ids, fund.codes AS fund_codes,
            counted.funds AS funds_counted, counted.days AS days_counted, counted.day AS counted_on, counted.minor AS counted_minor,
            (SELECT b.id FROM read_out b WHERE b.machine_id = r.machine_id AND b.local_date = counted.day AND b.happened_at <= r.happened_at ORDER BY b.happened_at DESC LIMIT 1) AS counted_file_id,
            before.id AS before_file_id, before.local_date AS before_day, earlier.id AS earlier_file_id, earlier.local_date AS earlier_day
       FROM read_out r
       JOIN fund ON fund.machine_id = r.machine_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = r.machine_id
       JOIN site s ON s.tenant_id = $1 AND s.id = r.site_id
       LEFT JOIN person p ON p.tenant_id = $1 AND p.id = r.collected_by
       CROSS JOIN LATERAL (
         SELECT count(*)::int AS funds, count(DISTINCT latest.counted_on)::int AS days, max(latest.counted_on) AS day, coalesce(sum(latest.counted_minor), 0)::bigint AS minor
           FROM (SELECT DISTINCT ON (t.fund_id) t.counted_on, t.counted_minor FROM cash_stocktake t
                  WHERE t.tenant_id = $1 AND t.fund_id = ANY (fund.ids) AND t.counted_on <= $2 ORDER BY t.fund_id, t.counted_on DESC, t.recorded_at DESC, t.id DESC) latest) counted
       LEFT JOIN LATERAL (SELECT b.id, b.local_date, b.happened_at FROM read_out b WHERE b.machine_id = r.machine_id AND b.happened_at < r.happened_at ORDER BY b.happened_at DESC LIMIT 1) before ON true
       LEFT JOIN LATERAL (SELECT b.id, b.local_date FROM read_out b WHERE b.machine_id = r.machine_id AND b.happened_at < before.happened_at ORDER BY b.happened_at DESC LIMIT 1) earlier ON true
      WHERE r.local_date = $2
      ORDER BY s.code, m.tag, r.happened_at`,
    [tx.tenantId, day],
  );
  return rows;
}

export type FundMoveRow = { fund_id: string; kind: TubesMove['kind']; moved_on: string; amount_minor: bigint };

/** What was filled into funds and emptied out of them up to the end of a day, without what was taken back. */
export async function selectFundMoves(tx: TenantTransaction, of: { readonly fundIds: readonly string[]; readonly day: string }): Promise<FundMoveRow[]> {
  const { rows } = await tx.sql<FundMoveRow>(
    `SELECT v.fund_id, v.kind, v.moved_on, v.amount_minor FROM cash_move v
      WHERE v.tenant_id = $1 AND v.fund_id = ANY ($2::uuid[]) AND v.moved_on <= $3 AND v.takes_back_id IS NULL
        AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = v.id)
      ORDER BY v.moved_on, v.id`,
    [tx.tenantId, of.fundIds, of.day],
  );
  return rows;
}
