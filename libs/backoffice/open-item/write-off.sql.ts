import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type WriteOffRow = {
  readonly id: string;
  readonly open_item_id: string;
  readonly amount_minor: bigint;
  readonly accounting_date: LocalDate;
  readonly reason: string;
  readonly recorded_at: Date;
  readonly recorded_by: string;
  readonly undo_reason: string | null;
  readonly undone_at: Date | null;
  readonly undone_by: string | null;
};

/** SQL of what stands written off of the item that row `alias` is, of its sign; 0 when nothing. */
export function writtenOffOf(alias: string): string {
  return `(SELECT coalesce(sum(w.amount_minor), 0)::bigint FROM write_off w
            WHERE w.tenant_id = ${alias}.tenant_id AND w.open_item_id = ${alias}.id
              AND NOT EXISTS (SELECT FROM write_off_undo u WHERE u.tenant_id = w.tenant_id AND u.write_off_id = w.id))`;
}

/** The same as it stood at the end of a day by the dates of the books; `day` is a parameter of the statement. */
export function writtenOffAt(alias: string, day: string): string {
  return `(SELECT coalesce(sum(w.amount_minor), 0)::bigint FROM write_off w
            WHERE w.tenant_id = ${alias}.tenant_id AND w.open_item_id = ${alias}.id AND w.accounting_date <= ${day}
              AND NOT EXISTS (SELECT FROM write_off_undo u WHERE u.tenant_id = w.tenant_id AND u.write_off_id = w.id AND u.accounting_date <= ${day}))`;
}

/** Write-offs of these items, undone or not, the oldest first. */
export async function readWriteOffs(tx: TenantTransaction, itemIds: readonly string[]): Promise<WriteOffRow[]> {
  const { rows } = await tx.sql<WriteOffRow>(
    `SELECT w.id, w.open_item_id, w.amount_minor, w.accounting_date, w.reason, w.recorded_at, w.recorded_by,
            u.reason AS undo_reason, u.recorded_at AS undone_at, u.recorded_by AS undone_by
       FROM write_off w LEFT JOIN write_off_undo u ON u.tenant_id = w.tenant_id AND u.write_off_id = w.id
      WHERE w.tenant_id = $1 AND w.open_item_id = ANY ($2::uuid[]) ORDER BY w.recorded_at, w.id`,
    [tx.tenantId, itemIds],
  );
  return rows;
}

export async function insertWriteOff(
  tx: TenantTransaction,
  written: { id: string; openItemId: string; agreementId: string; partyId: string; currency: string; amountMinor: bigint; accountingDate: LocalDate; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO write_off (tenant_id, id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
    [tx.tenantId, written.id, written.openItemId, written.agreementId, written.partyId, written.currency, written.amountMinor, written.accountingDate, written.reason, written.now, tx.actor],
  );
}

export async function insertWriteOffUndo(tx: TenantTransaction, undone: { id: string; writeOffId: string; accountingDate: LocalDate; reason: string; now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO write_off_undo (tenant_id, id, write_off_id, accounting_date, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, undone.id, undone.writeOffId, undone.accountingDate, undone.reason, undone.now, tx.actor],
  );
}
