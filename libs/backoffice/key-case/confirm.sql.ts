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

export async function selectCopyOfCode(tx: TenantTransaction, query: { id: string; keyCodeId: string }): Promise<{ number: string } | null> {
  const { rows } = await tx.sql<{ number: string }>('SELECT number FROM key_copy WHERE tenant_id = $1 AND id = $2 AND key_code_id = $3', [tx.tenantId, query.id, query.keyCodeId]);
  return rows[0] ?? null;
}
