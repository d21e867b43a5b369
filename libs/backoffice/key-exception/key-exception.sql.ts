import type { KeyException } from '#contracts/key-exception';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

type ExceptionRow = { id: string; site_id: string | null; person_id: string | null; label: string; reason: string; started_at: Date; ended_at: Date | null; review_on: LocalDate };
const columns = 'id, site_id, person_id, label, reason, started_at, ended_at, review_on';

const toException = (row: ExceptionRow): KeyException => ({
  id: row.id,
  siteId: row.site_id,
  personId: row.person_id,
  label: row.label,
  reason: row.reason,
  from: row.started_at.toISOString(),
  until: row.ended_at?.toISOString() ?? null,
  reviewOn: row.review_on,
});

export async function insertException(tx: TenantTransaction, exception: Omit<KeyException, 'from' | 'until'> & { from: Date; now: Date }): Promise<void> {
  const { id, siteId, personId, label, reason, from, reviewOn, now } = exception;
  await tx.sql(
    'INSERT INTO key_exception (tenant_id, id, site_id, person_id, label, reason, started_at, review_on, granted_by, granted_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)',
    [tx.tenantId, id, siteId, personId, label, reason, from, reviewOn, tx.actor, now],
  );
}

export async function lockException(tx: TenantTransaction, id: string): Promise<KeyException | null> {
  const { rows } = await tx.sql<ExceptionRow>(`SELECT ${columns} FROM key_exception WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] === undefined ? null : toException(rows[0]);
}

export async function endException(tx: TenantTransaction, end: { id: string; at: Date; now: Date }): Promise<void> {
  await tx.sql('UPDATE key_exception SET ended_at = $3, end_recorded_at = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, end.id, end.at, end.now]);
}

export async function selectExceptions(tx: TenantTransaction, list: { after: string | null; limit: number }): Promise<KeyException[]> {
  const { rows } = await tx.sql<ExceptionRow>(`SELECT ${columns} FROM key_exception WHERE tenant_id = $1 AND ($2::uuid IS NULL OR id > $2) ORDER BY id LIMIT $3`, [tx.tenantId, list.after, list.limit + 1]);
  return rows.map(toException);
}
