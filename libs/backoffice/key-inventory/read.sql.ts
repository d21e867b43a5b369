import type { KeyInventory, KeyInventorySummary } from '#contracts/key-inventory';
import type { TenantTransaction } from '#database/tenant';
import type { Holder } from '#domain/keys/custody';
import { holderColumns, holderJoins, type HolderRow } from '../key-question/whereabouts.sql';

export type InventoryRow = {
  id: string;
  cause: KeyInventorySummary['cause'];
  store_id: string | null;
  store_code: string | null;
  store_name: string | null;
  opened_at: Date;
  opened_by: string;
  reason: string;
  copies: number;
  counted: number;
  closed_at: Date | null;
  closed_by: string | null;
  closing_reason: string | null;
};

const columns = `i.id, i.cause, i.key_store_id AS store_id, s.code AS store_code, s.name AS store_name, i.opened_at, i.opened_by, i.reason, i.closed_at, i.closed_by, i.closing_reason,
  (SELECT count(*)::int FROM key_inventory_copy c WHERE c.tenant_id = $1 AND c.key_inventory_id = i.id) AS copies,
  (SELECT count(*)::int FROM key_inventory_count c WHERE c.tenant_id = $1 AND c.key_inventory_id = i.id) AS counted`;
const from = `FROM key_inventory i LEFT JOIN key_store s ON s.tenant_id = $1 AND s.id = i.key_store_id`;

export async function selectInventory(tx: TenantTransaction, id: string): Promise<InventoryRow | null> {
  const { rows } = await tx.sql<InventoryRow>(`SELECT ${columns} ${from} WHERE i.tenant_id = $1 AND i.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** The row of a count, held so that it is neither closed nor counted twice meanwhile. */
export async function holdInventory(tx: TenantTransaction, id: string): Promise<{ closed_at: Date | null } | null> {
  const { rows } = await tx.sql<{ closed_at: Date | null }>('SELECT closed_at FROM key_inventory WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Counts, those opened last first. */
export async function selectInventories(tx: TenantTransaction, query: { after: readonly [openedAt: string, id: string] | null; limit: number; state: 'open' | 'closed' | null }): Promise<InventoryRow[]> {
  const [openedAt, id] = query.after ?? [null, null];
  const { rows } = await tx.sql<InventoryRow>(
    `SELECT ${columns} ${from}
      WHERE i.tenant_id = $1 AND ($2::timestamptz IS NULL OR (i.opened_at, i.id) < ($2, $3::uuid)) AND ($4::text IS NULL OR (i.closed_at IS NULL) = ($4 = 'open'))
      ORDER BY i.opened_at DESC, i.id DESC LIMIT $5`,
    [tx.tenantId, openedAt, id, query.state, query.limit + 1],
  );
  return rows;
}

export type InventoriedRow = HolderRow & {
  key_copy_id: string;
  number: string;
  key_code_id: string;
  code: string;
  class: 'access' | 'cash-box';
  asked: boolean;
  how: 'seen' | 'attested' | null;
  counted_kind: Holder['kind'];
  counted_id: string;
  expected_state: 'held' | 'missing';
  expected_kind: Holder['kind'];
  expected_id: string;
  counted_at: Date;
  counted_by: string;
  without_second_person: boolean;
};

/** Every copy of every cut that the count asks for, where the books have it now, and how it was counted. */
export async function selectInventoried(tx: TenantTransaction, inventoryId: string): Promise<InventoriedRow[]> {
  const { rows } = await tx.sql<InventoriedRow>(
    `SELECT copy.id AS key_copy_id, copy.number, copy.key_code_id, k.code, copy.class, asked.key_copy_id IS NOT NULL AS asked, ${holderColumns('held')},
            n.how, n.holder_kind AS counted_kind, n.holder_id AS counted_id, n.expected_state, n.expected_kind, n.expected_id, n.counted_at, n.counted_by, n.without_second_person
       FROM key_copy copy
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       JOIN custody held ON held.tenant_id = $1 AND held.key_copy_id = copy.id AND held.held_to IS NULL AND held.known_to IS NULL
       LEFT JOIN key_inventory_copy asked ON asked.tenant_id = $1 AND asked.key_inventory_id = $2 AND asked.key_copy_id = copy.id
       LEFT JOIN key_inventory_count n ON n.tenant_id = $1 AND n.key_inventory_id = $2 AND n.key_copy_id = copy.id
       ${holderJoins('held')}
      WHERE copy.tenant_id = $1
        AND copy.key_code_id IN (SELECT of_code.key_code_id FROM key_inventory_copy c JOIN key_copy of_code ON of_code.tenant_id = $1 AND of_code.id = c.key_copy_id
                                  WHERE c.tenant_id = $1 AND c.key_inventory_id = $2)
      ORDER BY copy.number`,
    [tx.tenantId, inventoryId],
  );
  return rows;
}

export type CutRow = { key_code_id: string; code: string; class: 'access' | 'cash-box'; made: number; duplicated: number; destroyed: number };

/** What the events say of each cut: an event that was corrected does not count, its correction does. */
export async function selectCutEvents(tx: TenantTransaction, inventoryId: string): Promise<CutRow[]> {
  const { rows } = await tx.sql<CutRow>(
    `SELECT k.id AS key_code_id, k.code, k.class,
            count(*) FILTER (WHERE e.says = 'made')::int AS made, count(*) FILTER (WHERE e.says = 'duplicated')::int AS duplicated, count(*) FILTER (WHERE e.says = 'destroyed')::int AS destroyed
       FROM key_code k
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.key_code_id = k.id
       JOIN custody_event_copy ec ON ec.tenant_id = $1 AND ec.key_copy_id = copy.id
       JOIN custody_event e ON e.tenant_id = $1 AND e.id = ec.event_id
      WHERE k.tenant_id = $1
        AND k.id IN (SELECT of_code.key_code_id FROM key_inventory_copy c JOIN key_copy of_code ON of_code.tenant_id = $1 AND of_code.id = c.key_copy_id
                      WHERE c.tenant_id = $1 AND c.key_inventory_id = $2)
        AND NOT EXISTS (SELECT FROM custody_event_copy newer WHERE newer.tenant_id = $1 AND newer.corrects_id = ec.event_id AND newer.key_copy_id = ec.key_copy_id)
      GROUP BY k.id, k.code, k.class ORDER BY k.code`,
    [tx.tenantId, inventoryId],
  );
  return rows;
}

export async function selectSurplus(tx: TenantTransaction, inventoryId: string): Promise<{ key_code_id: string | null; note: string }[]> {
  const { rows } = await tx.sql<{ key_code_id: string | null; note: string }>(
    'SELECT key_code_id, note FROM key_inventory_surplus WHERE tenant_id = $1 AND key_inventory_id = $2 ORDER BY recorded_at, id',
    [tx.tenantId, inventoryId],
  );
  return rows;
}

/** The result of a count that is closed. */
export async function selectLines(tx: TenantTransaction, inventoryId: string): Promise<KeyInventory['lines']> {
  const { rows } = await tx.sql<KeyInventory['lines'][number]>(
    `SELECT l.key_code_id AS "keyCodeId", k.code, k.class, l.made, l.duplicated, l.destroyed, l.in_stores AS "inStores", l.with_holders AS "withHolders", l.missing, l.unaccounted
       FROM key_inventory_line l JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
      WHERE l.tenant_id = $1 AND l.key_inventory_id = $2 ORDER BY k.code`,
    [tx.tenantId, inventoryId],
  );
  return rows;
}

export async function selectDiscrepancies(tx: TenantTransaction, inventoryId: string): Promise<KeyInventory['discrepancies']> {
  const { rows } = await tx.sql<KeyInventory['discrepancies'][number]>(
    `SELECT d.kind, d.key_code_id AS "keyCodeId", k.code, d.key_copy_id AS "keyCopyId", copy.number, d.note
       FROM key_inventory_discrepancy d
       LEFT JOIN key_code k ON k.tenant_id = $1 AND k.id = d.key_code_id
       LEFT JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = d.key_copy_id
      WHERE d.tenant_id = $1 AND d.key_inventory_id = $2 ORDER BY d.id`,
    [tx.tenantId, inventoryId],
  );
  return rows;
}
