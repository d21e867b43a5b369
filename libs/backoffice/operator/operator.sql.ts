import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';

export type OperatorRow = {
  tenant_id: string;
  code: string;
  name: string;
  country: string;
  currency: CurrencyCode;
  locale: string;
  time_zone: string;
  paper: 'A4' | 'Letter';
  address_lines: string[];
  csv_decimal: 'point' | 'comma';
  second_factor_required: boolean;
  verification_address: string | null;
  statement_mails: 'when-asked' | 'when-issued';
  payment_days: number | null;
  statements_stamped: boolean;
  revision: number;
};

const columns = 'tenant_id, code, name, country, currency, locale, time_zone, paper, address_lines, csv_decimal, second_factor_required, verification_address, statement_mails, payment_days, statements_stamped, revision';

/** The operator of the transaction: row security shows no other. */
export async function selectOperator(tx: TenantTransaction): Promise<OperatorRow | null> {
  const { rows } = await tx.sql<OperatorRow>(`SELECT ${columns} FROM operator`);
  return rows[0] ?? null;
}

/** The operator, where a transaction cannot be without one. */
export async function presentOperator(tx: TenantTransaction): Promise<OperatorRow> {
  const operator = await selectOperator(tx);
  if (operator === null) throw new Error('the operator of a transaction is not there');
  return operator;
}

export type OperatorFields = Omit<OperatorRow, 'tenant_id' | 'revision'>;

export async function insertOperator(tx: TenantTransaction, operator: OperatorFields & { now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper, address_lines, csv_decimal, second_factor_required, verification_address, statement_mails, payment_days, statements_stamped, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
    [
      tx.tenantId,
      operator.code,
      operator.name,
      operator.country,
      operator.currency,
      operator.locale,
      operator.time_zone,
      operator.paper,
      operator.address_lines,
      operator.csv_decimal,
      operator.second_factor_required,
      operator.verification_address,
      operator.statement_mails,
      operator.payment_days,
      operator.statements_stamped,
      operator.now,
    ],
  );
}

/** Writes what may change; false when the row has another revision by now. */
export async function updateOperator(tx: TenantTransaction, input: { operator: OperatorRow; expectedRevision: number }): Promise<boolean> {
  const { operator, expectedRevision } = input;
  const { rowCount } = await tx.sql(
    `UPDATE operator SET name = $1, locale = $2, time_zone = $3, paper = $4, address_lines = $5, csv_decimal = $6, second_factor_required = $7, verification_address = $8, statement_mails = $9, payment_days = $10, statements_stamped = $11
      WHERE tenant_id = $12 AND revision = $13`,
    [
      operator.name,
      operator.locale,
      operator.time_zone,
      operator.paper,
      operator.address_lines,
      operator.csv_decimal,
      operator.second_factor_required,
      operator.verification_address,
      operator.statement_mails,
      operator.payment_days,
      operator.statements_stamped,
      tx.tenantId,
      expectedRevision,
    ],
  );
  return rowCount === 1;
}
