import type { LawLimitDocument, LawLimitRecord } from '#contracts/law-limit';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Decimal } from '#domain/money/decimal';
import { onlyRow } from '../rows';

export type LawLimitRow = {
  id: string;
  tax_area_id: string;
  kind: LawLimitDocument['kind'];
  site_percent: Decimal | null;
  operator_percent: Decimal | null;
  source: string;
  valid_from: LocalDate;
  valid_to: LocalDate | null;
};

// Without superfluous zeros, as the percentages were written.
const columns = `id, tax_area_id, kind, trim_scale(site_percent)::text AS site_percent, trim_scale(operator_percent)::text AS operator_percent, source, valid_from, valid_to`;

export async function insertLimit(tx: TenantTransaction, limit: LawLimitRecord & { now: Date }): Promise<LawLimitRow> {
  const { document } = limit;
  const sitePercent = document.kind === 'highest-site-share' ? document.percent : document.kind === 'fixed-split' ? document.sitePercent : null;
  const operatorPercent = document.kind === 'fixed-split' ? document.operatorPercent : null;
  const { rows } = await tx.sql<LawLimitRow>(
    `INSERT INTO law_limit (tenant_id, id, tax_area_id, kind, site_percent, operator_percent, source, valid_from, valid_to, created_at)
     VALUES ($1, $2, $3, $4, $5::numeric, $6::numeric, $7, $8, $9, $10) RETURNING ${columns}`,
    [tx.tenantId, limit.id, limit.taxAreaId, document.kind, sitePercent, operatorPercent, limit.source, limit.validFrom, limit.validTo, limit.now],
  );
  return onlyRow(rows);
}

export async function selectLimit(tx: TenantTransaction, limit: { areaId: string; id: string }): Promise<LawLimitRow | null> {
  const { rows } = await tx.sql<LawLimitRow>(`SELECT ${columns} FROM law_limit WHERE tenant_id = $1 AND tax_area_id = $2 AND id = $3`, [tx.tenantId, limit.areaId, limit.id]);
  return rows[0] ?? null;
}

/** A limit of the kind that shares a day with these days. */
export async function selectLimitOverlapping(
  tx: TenantTransaction,
  days: { areaId: string; kind: string; validFrom: LocalDate; validTo: LocalDate | null },
): Promise<LawLimitRow | null> {
  const { rows } = await tx.sql<LawLimitRow>(
    `SELECT ${columns} FROM law_limit
      WHERE tenant_id = $1 AND tax_area_id = $2 AND kind = $3 AND daterange(valid_from, valid_to, '[)') && daterange($4::date, $5::date, '[)')
      ORDER BY valid_from LIMIT 1`,
    [tx.tenantId, days.areaId, days.kind, days.validFrom, days.validTo],
  );
  return rows[0] ?? null;
}

export async function updateLimitEnd(tx: TenantTransaction, limit: { id: string; validTo: LocalDate }): Promise<LawLimitRow> {
  const { rows } = await tx.sql<LawLimitRow>(`UPDATE law_limit SET valid_to = $3 WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`, [tx.tenantId, limit.id, limit.validTo]);
  return onlyRow(rows);
}

export async function selectLimits(
  tx: TenantTransaction,
  list: { areaId: string; after: readonly [kind: string, validFrom: string] | null; limit: number; on: string | null },
): Promise<LawLimitRow[]> {
  const [kind, validFrom] = list.after ?? [null, null];
  const { rows } = await tx.sql<LawLimitRow>(
    `SELECT ${columns} FROM law_limit
      WHERE tenant_id = $1 AND tax_area_id = $2
        AND ($3::text IS NULL OR (kind, valid_from) > ($3, $4::date))
        AND ($5::date IS NULL OR daterange(valid_from, valid_to, '[)') @> $5)
      ORDER BY kind, valid_from LIMIT $6`,
    [tx.tenantId, list.areaId, kind, validFrom, list.on, list.limit + 1],
  );
  return rows;
}

/** Limits of these areas that are in force on some day of the range, always in one order. */
export async function selectLimitsWithin(
  tx: TenantTransaction,
  query: { taxAreaIds: readonly string[]; from: string; before: string },
): Promise<LawLimitRow[]> {
  const { rows } = await tx.sql<LawLimitRow>(
    `SELECT ${columns} FROM law_limit
      WHERE tenant_id = $1 AND tax_area_id = ANY ($2::uuid[]) AND valid_from < $4 AND (valid_to IS NULL OR valid_to > $3)
      ORDER BY tax_area_id, kind, valid_from`,
    [tx.tenantId, query.taxAreaIds, query.from, query.before],
  );
  return rows;
}

/** Limits of the law at a site on a day. */
export async function selectLimitsAtSite(tx: TenantTransaction, place: { siteId: string; on: LocalDate }): Promise<LawLimitRow[]> {
  const { rows } = await tx.sql<LawLimitRow>(
    `SELECT ${columns} FROM law_limit
      WHERE tenant_id = $1 AND tax_area_id = (SELECT s.tax_area_id FROM site s WHERE s.tenant_id = $1 AND s.id = $2)
        AND daterange(valid_from, valid_to, '[)') @> $3::date
      ORDER BY kind`,
    [tx.tenantId, place.siteId, place.on],
  );
  return rows;
}
