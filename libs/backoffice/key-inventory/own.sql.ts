import type { OwnInventories } from '#contracts/own-keys';
import type { TenantTransaction } from '#database/tenant';
import { holderColumns, holderJoins, theHolder, type HolderRow } from '../key-question/whereabouts.sql';

export type OwnRow = HolderRow & {
  inventory_id: string;
  cause: OwnInventories['items'][number]['cause'];
  reason: string;
  opened_at: Date;
  key_copy_id: string;
  number: string;
  code: string;
  class: 'access' | 'cash-box';
  counted: boolean;
};

/** Copies that open counts ask for and that these people or places have now. OFFSET 0: each holder is looked up. */
export async function selectOwnInventoried(tx: TenantTransaction, query: { readonly holderIds: readonly string[] }): Promise<OwnRow[]> {
  const { rows } = await tx.sql<OwnRow>(
    `SELECT i.id AS inventory_id, i.cause, i.reason, i.opened_at, copy.id AS key_copy_id, copy.number, k.code, copy.class,
            EXISTS (SELECT FROM key_inventory_count n WHERE n.tenant_id = $1 AND n.key_inventory_id = i.id AND n.key_copy_id = copy.id) AS counted,
            ${holderColumns('held')}
       FROM unnest($2::uuid[]) AS holder (id)
       CROSS JOIN LATERAL (SELECT c.* FROM custody c WHERE c.tenant_id = $1 AND ${theHolder('c')} = holder.id AND c.held_to IS NULL AND c.known_to IS NULL AND c.store_id IS NULL OFFSET 0) held
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = held.key_copy_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       JOIN key_inventory i ON i.tenant_id = $1 AND i.closed_at IS NULL
       JOIN key_inventory_copy asked ON asked.tenant_id = $1 AND asked.key_inventory_id = i.id AND asked.key_copy_id = copy.id
       ${holderJoins('held')}
      ORDER BY i.opened_at, i.id, copy.number`,
    [tx.tenantId, query.holderIds],
  );
  return rows;
}
