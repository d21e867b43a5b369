import type { KeyCode } from '#contracts/key-code';
import type { TenantTransaction } from '#database/tenant';
import { onlyRow } from '../rows';

const columns = `
  id, code, class, outside_copies AS "outsideCopies", revision,
  ((SELECT count(*) FROM key_copy c WHERE c.tenant_id = key_code.tenant_id AND c.key_code_id = key_code.id)
    - (SELECT count(*) FROM custody d WHERE d.tenant_id = key_code.tenant_id AND d.key_code_id = key_code.id AND d.state = 'destroyed' AND d.held_to IS NULL AND d.known_to IS NULL))::int AS copies,
  (SELECT count(*)::int FROM machine_lock l WHERE l.tenant_id = key_code.tenant_id AND l.key_code_id = key_code.id AND l.removed_at IS NULL) AS locks`;

export async function insertKeyCode(tx: TenantTransaction, key: Pick<KeyCode, 'id' | 'code' | 'class' | 'outsideCopies'> & { now: Date }): Promise<KeyCode> {
  const { rows } = await tx.sql<KeyCode>(
    `INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING ${columns}`,
    [tx.tenantId, key.id, key.code, key.class, key.outsideCopies, key.now],
  );
  return onlyRow(rows);
}

export async function selectKeyCode(tx: TenantTransaction, id: string): Promise<KeyCode | null> {
  const { rows } = await tx.sql<KeyCode>(`SELECT ${columns} FROM key_code WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockKeyCode(tx: TenantTransaction, id: string): Promise<KeyCode | null> {
  const { rows } = await tx.sql<KeyCode>(`SELECT ${columns} FROM key_code WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateKeyCode(tx: TenantTransaction, key: KeyCode): Promise<KeyCode> {
  const { rows } = await tx.sql<KeyCode>(
    `UPDATE key_code SET code = $3, outside_copies = $4 WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`,
    [tx.tenantId, key.id, key.code, key.outsideCopies],
  );
  return onlyRow(rows);
}

export async function selectKeyCodes(tx: TenantTransaction, list: { after: string | null; limit: number; class: string | null }): Promise<KeyCode[]> {
  const { rows } = await tx.sql<KeyCode>(
    `SELECT ${columns} FROM key_code
      WHERE tenant_id = $1 AND ($2::text IS NULL OR code > $2) AND ($3::text IS NULL OR class = $3)
      ORDER BY code LIMIT $4`,
    [tx.tenantId, list.after, list.class, list.limit + 1],
  );
  return rows;
}
