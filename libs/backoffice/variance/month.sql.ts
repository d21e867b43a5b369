import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import type { Tender } from '#domain/variance/compare';

type Days = { readonly from: string; readonly before: string; readonly siteId: string | null; readonly notSites: readonly string[] };

export type TotalRow = {
  currency: CurrencyCode;
  tender: Tender;
  counts: number;
  unknown: number;
  out_of_tolerance: number;
  expected_minor: bigint;
  counted_minor: bigint;
  shortages_minor: bigint;
  overages_minor: bigint;
};

export async function selectTotals(tx: TenantTransaction, { from, before, siteId, notSites }: Days): Promise<TotalRow[]> {
  const { rows } = await tx.sql<TotalRow>(
    `SELECT currency, tender, count(expected_minor)::int AS counts, (count(*) - count(expected_minor))::int AS unknown, count(*) FILTER (WHERE out_of_tolerance)::int AS out_of_tolerance,
            coalesce(sum(expected_minor), 0)::bigint AS expected_minor, coalesce(sum(counted_minor) FILTER (WHERE expected_minor IS NOT NULL), 0)::bigint AS counted_minor,
            coalesce(sum(least(counted_minor - expected_minor, 0)) FILTER (WHERE expected_minor IS NOT NULL), 0)::bigint AS shortages_minor,
            coalesce(sum(greatest(counted_minor - expected_minor, 0)) FILTER (WHERE expected_minor IS NOT NULL), 0)::bigint AS overages_minor
       FROM cash_variance
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
