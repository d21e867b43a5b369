import type { TenantTransaction } from '#database/tenant';

export type NewCase = {
  readonly id: string;
  readonly keyCodeId: string;
  readonly cause: 'lost' | 'compromised';
  readonly happenedAt: Date;
  readonly surelyHeldUntil: Date;
  readonly openedAt: Date;
  readonly reason: string;
};

/** The row of the cut. Whoever opens, confirms or closes a case of it holds this first, so that two never wait for each other. */
export async function lockCut(tx: TenantTransaction, keyCodeId: string): Promise<{ code: string; class: 'access' | 'cash-box' } | null> {
  const { rows } = await tx.sql<{ code: string; class: 'access' | 'cash-box' }>('SELECT code, class FROM key_code WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, keyCodeId]);
  return rows[0] ?? null;
}

export async function selectOpenCase(tx: TenantTransaction, keyCodeId: string): Promise<{ id: string } | null> {
  const { rows } = await tx.sql<{ id: string }>(`SELECT id FROM key_case WHERE tenant_id = $1 AND key_code_id = $2 AND state = 'open'`, [tx.tenantId, keyCodeId]);
  return rows[0] ?? null;
}

export async function insertCase(tx: TenantTransaction, opened: NewCase): Promise<void> {
  await tx.sql(
    `INSERT INTO key_case (tenant_id, id, key_code_id, class, cause, happened_at, surely_held_until, opened_at, opened_by, reason)
     SELECT $1, $2, k.id, k.class, $4, $5, $6, $7, $8, $9 FROM key_code k WHERE k.tenant_id = $1 AND k.id = $3`,
    [tx.tenantId, opened.id, opened.keyCodeId, opened.cause, opened.happenedAt, opened.surelyHeldUntil, opened.openedAt, tx.actor, opened.reason],
  );
}

export type LostCopy = { readonly keyCopyId: string; readonly eventId: string; readonly surelyHeldUntil: Date };

/** Adds lost copies to a case; it begins with the first of them that was lost, however late that was told. */
export async function insertLostCopies(tx: TenantTransaction, lost: { keyCaseId: string; keyCodeId: string; copies: readonly LostCopy[]; recordedAt: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO key_case_copy (tenant_id, key_case_id, key_copy_id, key_code_id, event_id, surely_held_until, recorded_at)
     SELECT $1, $2, key_copy_id, $3, event_id, surely_held_until, $4 FROM unnest($5::uuid[], $6::uuid[], $7::timestamptz[]) AS lost (key_copy_id, event_id, surely_held_until)`,
    [tx.tenantId, lost.keyCaseId, lost.keyCodeId, lost.recordedAt, lost.copies.map(({ keyCopyId }) => keyCopyId), lost.copies.map(({ eventId }) => eventId), lost.copies.map(({ surelyHeldUntil }) => surelyHeldUntil)],
  );
  await tx.sql(
    `UPDATE key_case SET surely_held_until = least(surely_held_until, earliest.held), happened_at = least(happened_at, earliest.lost)
       FROM (SELECT min(c.surely_held_until) AS held, min(e.happened_at) AS lost
               FROM key_case_copy c JOIN custody_event e ON e.tenant_id = $1 AND e.id = c.event_id WHERE c.tenant_id = $1 AND c.key_case_id = $2) earliest
      WHERE tenant_id = $1 AND id = $2 AND (surely_held_until > earliest.held OR happened_at > earliest.lost)`,
    [tx.tenantId, lost.keyCaseId],
  );
}
