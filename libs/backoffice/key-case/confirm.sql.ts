import type { KeyCaseStep } from '#contracts/key-case';
import type { TenantTransaction } from '#database/tenant';

export type NewStep = {
  readonly id: string;
  readonly keyCaseId: string;
  readonly kind: KeyCaseStep['kind'];
  readonly lockId: string | null;
  readonly keyCopyId: string | null;
  readonly happenedAt: Date;
  readonly recordedAt: Date;
  readonly note: string;
};

export async function insertStep(tx: TenantTransaction, step: NewStep): Promise<void> {
  await tx.sql(
    `INSERT INTO key_case_step (tenant_id, id, key_case_id, kind, machine_lock_id, key_copy_id, happened_at, recorded_at, recorded_by, note)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
    [tx.tenantId, step.id, step.keyCaseId, step.kind, step.lockId, step.keyCopyId, step.happenedAt, step.recordedAt, tx.actor, step.note],
  );
}

export async function updateNewCode(tx: TenantTransaction, change: { id: string; keyCodeId: string }): Promise<void> {
  await tx.sql('UPDATE key_case SET new_key_code_id = $3 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, change.id, change.keyCodeId]);
}

export type FittedLockRow = { id: string; key_code_id: string; class: 'access' | 'cash-box'; fitted_at: Date; removed_at: Date | null };

export async function holdLock(tx: TenantTransaction, id: string): Promise<FittedLockRow | null> {
  const { rows } = await tx.sql<FittedLockRow>('SELECT id, key_code_id, class, fitted_at, removed_at FROM machine_lock WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function takeOffLock(tx: TenantTransaction, removal: { id: string; at: Date; recordedAt: Date; reason: string }): Promise<void> {
  await tx.sql(
    `UPDATE machine_lock SET removed_at = $3, removal_recorded_at = $4, removal_recorded_by = $5, removal_reason = $6 WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, removal.id, removal.at, removal.recordedAt, tx.actor, removal.reason],
  );
}

/** Fits a lock of another cut where one was taken off, from the same moment on. */
export async function fitInItsPlace(tx: TenantTransaction, fitting: { id: string; insteadOfId: string; keyCodeId: string; recordedAt: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
     SELECT $1, $3, machine_id, place, opens, class, $4, removed_at, $5, $6 FROM machine_lock WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, fitting.insteadOfId, fitting.id, fitting.keyCodeId, fitting.recordedAt, tx.actor],
  );
}

export async function selectCopyOfCode(tx: TenantTransaction, query: { id: string; keyCodeId: string }): Promise<{ number: string } | null> {
  const { rows } = await tx.sql<{ number: string }>('SELECT number FROM key_copy WHERE tenant_id = $1 AND id = $2 AND key_code_id = $3', [tx.tenantId, query.id, query.keyCodeId]);
  return rows[0] ?? null;
}
