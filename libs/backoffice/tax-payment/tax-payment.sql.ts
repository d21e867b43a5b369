import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export type NewTaxPayment = {
  readonly id: string;
  readonly tax_area_id: string;
  /** First day of the filing month. */
  readonly month: LocalDate;
  readonly currency: CurrencyCode;
  /** Above zero to the authority, below zero from it. */
  readonly amount_minor: bigint;
  readonly method: 'bank' | 'cash' | 'other';
  readonly reference: string;
  readonly paid_on: LocalDate;
  readonly accounting_date: LocalDate;
};

export type TaxPaymentRow = NewTaxPayment & {
  readonly recorded_at: Date;
  readonly recorded_by: string;
  readonly returned_on: LocalDate | null;
  readonly return_reason: string | null;
  readonly return_recorded_at: Date | null;
  readonly return_recorded_by: string | null;
};

const payments = `
  SELECT y.id, y.tax_area_id, y.month, y.currency, y.amount_minor, y.method, y.reference, y.paid_on, y.accounting_date, y.recorded_at, y.recorded_by,
         r.returned_on, r.reason AS return_reason, r.recorded_at AS return_recorded_at, r.recorded_by AS return_recorded_by
    FROM tax_payment y LEFT JOIN tax_payment_return r ON r.tenant_id = y.tenant_id AND r.tax_payment_id = y.id
   WHERE y.tenant_id = $1 AND y.tax_area_id = $2`;

export async function insertTaxPayment(tx: TenantTransaction, payment: NewTaxPayment, now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO tax_payment (tenant_id, id, tax_area_id, month, currency, amount_minor, method, reference, paid_on, accounting_date, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
    [
      tx.tenantId, payment.id, payment.tax_area_id, payment.month, payment.currency, payment.amount_minor, payment.method, payment.reference, payment.paid_on,
      payment.accounting_date, now, tx.actor,
    ],
  );
}

export async function insertTaxPaymentReturn(
  tx: TenantTransaction,
  returned: { id: string; paymentId: string; returnedOn: LocalDate; accountingDate: LocalDate; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO tax_payment_return (tenant_id, id, tax_payment_id, returned_on, accounting_date, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, returned.id, returned.paymentId, returned.returnedOn, returned.accountingDate, returned.reason, returned.now, tx.actor],
  );
}

export async function selectTaxPayment(tx: TenantTransaction, wanted: { areaId: string; id: string }): Promise<TaxPaymentRow | null> {
  const { rows } = await tx.sql<TaxPaymentRow>(`${payments} AND y.id = $3`, [tx.tenantId, wanted.areaId, wanted.id]);
  return rows[0] ?? null;
}

/** The newest first. */
export async function selectTaxPayments(
  tx: TenantTransaction,
  list: { areaId: string; month: string | null; after: readonly [paidOn: string, id: string] | null; limit: number },
): Promise<TaxPaymentRow[]> {
  const [paidOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<TaxPaymentRow>(
    `${payments} AND ($3::date IS NULL OR y.month = $3) AND ($4::date IS NULL OR (y.paid_on, y.id) < ($4, $5::uuid)) ORDER BY y.paid_on DESC, y.id DESC LIMIT $6`,
    [tx.tenantId, list.areaId, list.month, paidOn, id, list.limit + 1],
  );
  return rows;
}

/** What was paid for a month and has not come back. */
export async function readPaidMinor(tx: TenantTransaction, wanted: { areaId: string; month: LocalDate }): Promise<bigint> {
  const { rows } = await tx.sql<{ minor: bigint }>(
    `SELECT coalesce(sum(y.amount_minor), 0)::bigint AS minor FROM tax_payment y
      WHERE y.tenant_id = $1 AND y.tax_area_id = $2 AND y.month = $3
        AND NOT EXISTS (SELECT FROM tax_payment_return r WHERE r.tenant_id = y.tenant_id AND r.tax_payment_id = y.id)`,
    [tx.tenantId, wanted.areaId, wanted.month],
  );
  return rows[0]?.minor ?? 0n;
}
