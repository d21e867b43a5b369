import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import type { Tender } from '#domain/variance/compare';

type Days = { readonly from: string; readonly before: string; readonly siteId: string | null; readonly notSites: readonly string[] };

export type TotalRow = {
  currency: CurrencyCode;
  tender: Tender;
  counts: number;
  out_of_tolerance: number;
  expected_minor: bigint;
  counted_minor: bigint;
  shortages_minor: bigint;
  overages_minor: bigint;
};

export async function selectTotals(tx: TenantTransaction, { from, before, siteId, notSites }: Days): Promise<TotalRow[]> {
  const { rows } = await tx.sql<TotalRow>(
    `SELECT currency, tender, count(*)::int AS counts, count(*) FILTER (WHERE out_of_tolerance)::int AS out_of_tolerance,
            sum(expected_minor)::bigint AS expected_minor, sum(counted_minor)::bigint AS counted_minor,
            sum(least(counted_minor - expected_minor, 0))::bigint AS shortages_minor, sum(greatest(counted_minor - expected_minor, 0))::bigint AS overages_minor
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

/**
 * Sites where the one who asks entered counts of a collection that is not accepted yet, other than by a file: who counts is
 * told nothing of what is expected (25 CFR 543.17(g)(5)), and last month's figures would tell it.
 */
export async function selectCountingSites(tx: TenantTransaction): Promise<string[]> {
  const { rows } = await tx.sql<{ site_id: string }>(
    `SELECT DISTINCT c.site_id FROM collection c
      WHERE c.tenant_id = $1 AND c.state <> 'accepted' AND c.import_file_id IS NULL
        AND (c.recorded_by = $2 OR EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = c.id AND b.recorded_by = $2)
                                OR EXISTS (SELECT FROM field_count w WHERE w.tenant_id = $1 AND w.collection_id = c.id AND w.recorded_by = $2))`,
    [tx.tenantId, tx.actor],
  );
  return rows.map((row) => row.site_id);
}
