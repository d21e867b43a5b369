import type { TenantTransaction } from '#database/tenant';

export async function markReviewed(tx: TenantTransaction, reviewed: { ids: readonly string[]; now: Date; by: string }): Promise<void> {
  await tx.sql(
    `UPDATE settlement SET state = 'reviewed', reviewed_at = $3, reviewed_by = $4 WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state = 'draft'`,
    [tx.tenantId, reviewed.ids, reviewed.now, reviewed.by],
  );
}

export async function markReopened(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql(
    `UPDATE settlement SET state = 'draft', reviewed_at = NULL, reviewed_by = NULL WHERE tenant_id = $1 AND id = $2 AND state = 'reviewed'`,
    [tx.tenantId, id],
  );
}
