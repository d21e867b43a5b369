import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import type { Tender } from '#domain/variance/compare';
import { isCompared } from './together.sql';

type Days = { readonly from: string; readonly before: string; readonly siteId: string | null; readonly notSites: readonly string[] };

export type TotalRow = {
  currency: CurrencyCode;
  tender: Tender;
  counts: number;
  unknown: number;
  left_out: number;
  out_of_tolerance: number;
  expected_minor: bigint;
  counted_minor: bigint;
  shortages_minor: bigint;
  overages_minor: bigint;
};

/** Sums of what stands and is in the report: what a break-in or an outage explains is in neither. */
export async function selectTotals(tx: TenantTransaction, { from, before, siteId, notSites }: Days): Promise<TotalRow[]> {
  const { rows } = await tx.sql<TotalRow>(
    `SELECT currency, tender, (count(*) FILTER (WHERE ${isCompared('v')}))::int AS counts, (count(*) FILTER (WHERE expected_minor IS NULL))::int AS unknown, (count(*) FILTER (WHERE left_out AND expected_minor IS NOT NULL))::int AS left_out,
            (count(*) FILTER (WHERE out_of_tolerance AND ${isCompared('v')}))::int AS out_of_tolerance,
            coalesce(sum(expected_minor) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS expected_minor, coalesce(sum(counted_minor) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS counted_minor,
            coalesce(sum(least(counted_minor - expected_minor, 0)) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS shortages_minor,
            coalesce(sum(greatest(counted_minor - expected_minor, 0)) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS overages_minor
       FROM cash_variance v
      WHERE tenant_id = $1 AND stands AND accounting_date >= $2 AND accounting_date < $3 AND ($4::uuid IS NULL OR site_id = $4) AND site_id <> ALL ($5::uuid[])
      GROUP BY currency, tender ORDER BY currency, tender`,
    [tx.tenantId, from, before, siteId, notSites],
  );
  return rows;
}

export async function countFlags(tx: TenantTransaction, { from, before, siteId, notSites }: Days): Promise<{ open: number; explained: number }> {
  const { rows } = await tx.sql<{ open: number; explained: number }>(
    `SELECT count(*) FILTER (WHERE state = 'open')::int AS open, count(*) FILTER (WHERE state = 'explained')::int AS explained
       FROM variance_flag
      WHERE tenant_id = $1 AND accounting_date >= $2 AND accounting_date < $3 AND ($4::uuid IS NULL OR site_id = $4) AND site_id <> ALL ($5::uuid[])`,
    [tx.tenantId, from, before, siteId, notSites],
  );
  return rows[0] ?? { open: 0, explained: 0 };
}
