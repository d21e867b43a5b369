import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

/**
 * The last day through which the journal is closed; null when all of it is open. It stays so until the transaction ends.
 * Comes after agreement, period and settlement in the order of locks, and before number counter and evidence log.
 */
export async function shareJournal(tx: TenantTransaction): Promise<LocalDate | null> {
  const { rows } = await tx.sql<{ closed_through: LocalDate | null }>('SELECT app.share_journal($1) AS closed_through', [tx.tenantId]);
  return rows[0]?.closed_through ?? null;
}

/** Waits for everybody who is posting, and keeps others from it until the transaction ends. No lock is taken after it. */
export async function lockJournal(tx: TenantTransaction): Promise<void> {
  await tx.sql('SELECT pg_advisory_xact_lock(app.journal_lock_key($1))', [tx.tenantId]);
}

export type PeriodEventRow = {
  readonly position: number;
  readonly kind: 'closed' | 'reopened';
  readonly closed_through: LocalDate | null;
  readonly reason: string;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

/** Every closing and reopening, the newest first. */
export async function readPeriodEvents(tx: TenantTransaction): Promise<PeriodEventRow[]> {
  const { rows } = await tx.sql<PeriodEventRow>(
    'SELECT position, kind, closed_through, reason, recorded_at, recorded_by FROM journal_period_event WHERE tenant_id = $1 ORDER BY position DESC',
    [tx.tenantId],
  );
  return rows;
}

export async function insertPeriodEvent(tx: TenantTransaction, event: Omit<PeriodEventRow, 'recorded_by'>): Promise<void> {
  await tx.sql(
    `INSERT INTO journal_period_event (tenant_id, position, kind, closed_through, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, event.position, event.kind, event.closed_through, event.reason, event.recorded_at, tx.actor],
  );
}
