import type { TenantTransaction } from '#database/tenant';

export type NewKeyHolder = { readonly id: string; readonly collectionId: string; readonly personId: string | null; readonly boxesExchanged: boolean; readonly reason: string | null; readonly now: Date };

export async function insertKeyHolder(tx: TenantTransaction, named: NewKeyHolder): Promise<void> {
  await tx.sql(
    `INSERT INTO collection_key_holder (tenant_id, id, collection_id, person_id, boxes_exchanged, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, named.id, named.collectionId, named.personId, named.boxesExchanged, named.reason, named.now, tx.actor],
  );
}
