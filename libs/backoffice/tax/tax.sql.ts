import type { TaxRuleDocument } from '#contracts/tax';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { onlyRow } from '../rows';

export type TaxAreaRow = { id: string; code: string; name: string; country: string; revision: number };

const areaColumns = 'id, code, name, country, revision';

export async function insertTaxArea(tx: TenantTransaction, area: Omit<TaxAreaRow, 'revision'> & { now: Date }): Promise<TaxAreaRow> {
  const { rows } = await tx.sql<TaxAreaRow>(
    `INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING ${areaColumns}`,
    [tx.tenantId, area.id, area.code, area.name, area.country, area.now],
  );
  return onlyRow(rows);
}

export async function selectTaxArea(tx: TenantTransaction, id: string): Promise<TaxAreaRow | null> {
  const { rows } = await tx.sql<TaxAreaRow>(`SELECT ${areaColumns} FROM tax_area WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Whoever writes a rule holds the area, so that two rules are checked one after the other. */
export async function lockTaxArea(tx: TenantTransaction, id: string): Promise<TaxAreaRow | null> {
  const { rows } = await tx.sql<TaxAreaRow>(`SELECT ${areaColumns} FROM tax_area WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateTaxArea(tx: TenantTransaction, area: TaxAreaRow): Promise<TaxAreaRow> {
  const { rows } = await tx.sql<TaxAreaRow>(
    `UPDATE tax_area SET code = $3, name = $4, country = $5 WHERE tenant_id = $1 AND id = $2 RETURNING ${areaColumns}`,
    [tx.tenantId, area.id, area.code, area.name, area.country],
  );
  return onlyRow(rows);
}

export async function selectTaxAreas(tx: TenantTransaction, list: { after: string | null; limit: number; pattern: string | null }): Promise<TaxAreaRow[]> {
  const { rows } = await tx.sql<TaxAreaRow>(
    `SELECT ${areaColumns} FROM tax_area
      WHERE tenant_id = $1
        AND ($2::text IS NULL OR code > $2)
        AND ($3::text IS NULL OR code ILIKE $3 OR name ILIKE $3)
      ORDER BY code LIMIT $4`,
    [tx.tenantId, list.after, list.pattern, list.limit + 1],
  );
  return rows;
}

export type TaxRuleRow = {
  id: string;
  tax_area_id: string;
  code: string;
  valid_from: LocalDate;
  valid_to: LocalDate | null;
  document: TaxRuleDocument;
  source: string;
};

const ruleColumns = 'id, tax_area_id, code, valid_from, valid_to, document, source';

export async function insertTaxRule(tx: TenantTransaction, rule: TaxRuleRow & { reason: string; now: Date }): Promise<TaxRuleRow> {
  const { rows } = await tx.sql<TaxRuleRow>(
    `INSERT INTO tax_rule (tenant_id, id, tax_area_id, code, valid_from, valid_to, document, source, reason, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING ${ruleColumns}`,
    [tx.tenantId, rule.id, rule.tax_area_id, rule.code, rule.valid_from, rule.valid_to, JSON.stringify(rule.document), rule.source, rule.reason, rule.now],
  );
  return onlyRow(rows);
}

export async function selectTaxRule(tx: TenantTransaction, rule: { areaId: string; id: string }): Promise<TaxRuleRow | null> {
  const { rows } = await tx.sql<TaxRuleRow>(`SELECT ${ruleColumns} FROM tax_rule WHERE tenant_id = $1 AND tax_area_id = $2 AND id = $3`, [
    tx.tenantId,
    rule.areaId,
    rule.id,
  ]);
  return rows[0] ?? null;
}

/** Rules of the area that share a day with these days. */
export async function selectRulesOverlapping(
  tx: TenantTransaction,
  days: { areaId: string; validFrom: LocalDate; validTo: LocalDate | null },
): Promise<TaxRuleRow[]> {
  const { rows } = await tx.sql<TaxRuleRow>(
    `SELECT ${ruleColumns} FROM tax_rule
      WHERE tenant_id = $1 AND tax_area_id = $2 AND daterange(valid_from, valid_to, '[)') && daterange($3::date, $4::date, '[)')
      ORDER BY code, valid_from`,
    [tx.tenantId, days.areaId, days.validFrom, days.validTo],
  );
  return rows;
}

export async function updateTaxRuleEnd(tx: TenantTransaction, rule: { id: string; validTo: LocalDate; reason: string }): Promise<TaxRuleRow> {
  const { rows } = await tx.sql<TaxRuleRow>(
    `UPDATE tax_rule SET valid_to = $3, reason = CASE WHEN $4 = '' THEN reason ELSE $4 END WHERE tenant_id = $1 AND id = $2 RETURNING ${ruleColumns}`,
    [tx.tenantId, rule.id, rule.validTo, rule.reason],
  );
  return onlyRow(rows);
}

/** A site of the area in another currency, by its code; `null` when all are in this one. */
export async function selectSiteInOtherCurrency(tx: TenantTransaction, area: { id: string; currency: string }): Promise<string | null> {
  const { rows } = await tx.sql<{ code: string }>(
    `SELECT code FROM site WHERE tenant_id = $1 AND tax_area_id = $2 AND currency <> $3 ORDER BY code LIMIT 1`,
    [tx.tenantId, area.id, area.currency],
  );
  return rows[0]?.code ?? null;
}

/** A rule of the area in another currency, by its code; `null` when there is none. */
export async function selectRuleInOtherCurrency(tx: TenantTransaction, area: { id: string; currency: string }): Promise<string | null> {
  const { rows } = await tx.sql<{ code: string }>(
    `SELECT code FROM tax_rule WHERE tenant_id = $1 AND tax_area_id = $2 AND document ->> 'currency' <> $3 ORDER BY code LIMIT 1`,
    [tx.tenantId, area.id, area.currency],
  );
  return rows[0]?.code ?? null;
}

/** Agreements of the area's sites. */
export async function selectAgreementsOfArea(tx: TenantTransaction, areaId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT a.id FROM agreement a JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id WHERE a.tenant_id = $1 AND s.tax_area_id = $2`,
    [tx.tenantId, areaId],
  );
  return rows.map((row) => row.id);
}

export async function selectTaxRules(
  tx: TenantTransaction,
  list: { areaId: string; after: readonly [code: string, validFrom: string] | null; limit: number; on: string | null },
): Promise<TaxRuleRow[]> {
  const [code, validFrom] = list.after ?? [null, null];
  const { rows } = await tx.sql<TaxRuleRow>(
    `SELECT ${ruleColumns} FROM tax_rule
      WHERE tenant_id = $1 AND tax_area_id = $2
        AND ($3::text IS NULL OR (code, valid_from) > ($3, $4::date))
        AND ($5::date IS NULL OR daterange(valid_from, valid_to, '[)') @> $5)
      ORDER BY code, valid_from LIMIT $6`,
    [tx.tenantId, list.areaId, code, validFrom, list.on, list.limit + 1],
  );
  return rows;
}
