import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Decimal } from '#domain/money/decimal';

export type RuleSetRow = {
  id: string;
  name: string;
  currency: CurrencyCode;
  effective_on: LocalDate;
  amount_minor: bigint | null;
  percent: Decimal | null;
  joined_by: 'and' | 'or';
  percent_of: 'metered' | 'counted';
  out_when: 'more-than' | 'at-least';
  counters_apart_minor: bigint | null;
  recorded_at: Date;
  recorded_by: string;
};

/** All of them, the latest first. An owner decides now and then: there are few. */
export async function selectRuleSets(tx: TenantTransaction): Promise<RuleSetRow[]> {
  const { rows } = await tx.sql<RuleSetRow>(
    `SELECT id, name, currency, effective_on, amount_minor, trim_scale(percent)::text AS percent, joined_by, percent_of, out_when, counters_apart_minor, recorded_at, recorded_by
       FROM tolerance_rule_set WHERE tenant_id = $1 ORDER BY effective_on DESC, recorded_at DESC, id DESC`,
    [tx.tenantId],
  );
  return rows;
}

/** Currencies in which sites that are open on a day are settled. */
export async function selectCurrencies(tx: TenantTransaction, day: LocalDate): Promise<CurrencyCode[]> {
  const { rows } = await tx.sql<{ currency: CurrencyCode }>('SELECT DISTINCT currency FROM site WHERE tenant_id = $1 AND (closed_on IS NULL OR closed_on > $2) ORDER BY currency', [tx.tenantId, day]);
  return rows.map(({ currency }) => currency);
}

export async function insertRuleSet(tx: TenantTransaction, row: Omit<RuleSetRow, 'recorded_by'>): Promise<void> {
  await tx.sql(
    `INSERT INTO tolerance_rule_set (tenant_id, id, name, currency, effective_on, amount_minor, percent, joined_by, percent_of, out_when, counters_apart_minor, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
    [tx.tenantId, row.id, row.name, row.currency, row.effective_on, row.amount_minor, row.percent, row.joined_by, row.percent_of, row.out_when, row.counters_apart_minor, row.recorded_at, tx.actor],
  );
}
