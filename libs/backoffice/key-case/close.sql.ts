import type { TenantTransaction } from '#database/tenant';

/** Ends the life of a case; the database refuses while a lock takes the cut, or a copy is missing. */
export async function updateCaseState(tx: TenantTransaction, over: { id: string; state: 'closed' | 'ended'; at: Date; reason: string }): Promise<void> {
  await tx.sql('UPDATE key_case SET state = $3, closed_at = $4, closed_by = $5, closing_reason = $6 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, over.id, over.state, over.at, tx.actor, over.reason]);
}
