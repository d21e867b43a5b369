import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { NotCompared, Tender } from '#domain/variance/compare';
import type { Signal } from '#domain/variance/series';
import type { LeftOutFor } from './counted.sql';

export async function selectSitesOfMachine(tx: TenantTransaction, machineId: string): Promise<{ tag: string; site_ids: string[] } | null> {
  const { rows } = await tx.sql<{ tag: string; site_ids: string[] }>(
    `SELECT m.tag, ARRAY (SELECT p.site_id FROM placement p WHERE p.tenant_id = $1 AND p.machine_id = m.id) AS site_ids
       FROM machine m WHERE m.tenant_id = $1 AND m.id = $2`,
    [tx.tenantId, machineId],
  );
  return rows[0] ?? null;
}

export type ChartRow = {
  collection_id: string;
  local_date: LocalDate;
  tender: Tender;
  currency: CurrencyCode;
  expected_minor: bigint | null;
  unknown: NotCompared[];
  left_out_for: LeftOutFor | null;
  counted_minor: bigint;
  out_of_tolerance: boolean;
  left_out: boolean;
  sigmas: number | null;
  chart_sum: number;
  chart_average: number;
  average_limit: number;
  signals: Signal[];
};

export async function selectChart(tx: TenantTransaction, of: { readonly machineId: string; readonly tender: Tender | null }): Promise<ChartRow[]> {
  const { rows } = await tx.sql<ChartRow>(
    `SELECT * FROM (
       SELECT collection_id, local_date, tender, currency, expected_minor, unknown, counted_minor, out_of_tolerance, left_out, left_out_for, sigmas, chart_sum, chart_average, average_limit, signals,
              happened_at, id
         FROM cash_variance WHERE tenant_id = $1 AND machine_id = $2 AND stands AND ($3::text IS NULL OR tender = $3)
        ORDER BY happened_at DESC, id DESC LIMIT 400) latest
      ORDER BY happened_at, id`,
    [tx.tenantId, of.machineId, of.tender],
  );
  return rows;
}
