import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

/** SQL of what of the payment that row `alias` is waits on account for a settlement, or was set off by one; of its sign. */
export function onAccountMinorOf(alias: string): string {
  return `(CASE ${alias}.kind WHEN 'on-account' THEN ${alias}.amount_minor ELSE 0 END
           + (SELECT coalesce(sum(shift.amount_minor), 0)::bigint FROM payment_shift shift WHERE shift.tenant_id = ${alias}.tenant_id AND shift.payment_id = ${alias}.id))`;
}

export type ShiftRow = {
  readonly id: string;
  readonly payment_id: string;
  /** Of the sign of the payment put on account, against it taken off. */
  readonly amount_minor: bigint;
  readonly accounting_date: LocalDate;
  readonly note: string | null;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

/** The oldest first. */
export async function readShifts(tx: TenantTransaction, paymentIds: readonly string[]): Promise<ShiftRow[]> {
  const { rows } = await tx.sql<ShiftRow>(
    `SELECT id, payment_id, amount_minor, accounting_date, note, recorded_at, recorded_by FROM payment_shift
      WHERE tenant_id = $1 AND payment_id = ANY ($2::uuid[]) ORDER BY recorded_at, id`,
    [tx.tenantId, paymentIds],
  );
  return rows;
}

export async function insertShift(tx: TenantTransaction, shift: Omit<ShiftRow, 'recorded_by'>): Promise<void> {
  await tx.sql(
    `INSERT INTO payment_shift (tenant_id, id, payment_id, amount_minor, accounting_date, note, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, shift.id, shift.payment_id, shift.amount_minor, shift.accounting_date, shift.note, shift.recorded_at, tx.actor],
  );
}
