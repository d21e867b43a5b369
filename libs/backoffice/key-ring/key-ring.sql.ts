import type { KeyRing } from '#contracts/key-ring';
import type { TenantTransaction } from '#database/tenant';

const rings = `
  SELECT r.id, r.code,
         coalesce((SELECT jsonb_agg(jsonb_build_object('keyCopyId', c.id, 'number', c.number, 'since', on_it.started_at) ORDER BY c.number)
                     FROM key_ring_copy on_it JOIN key_copy c ON c.tenant_id = on_it.tenant_id AND c.id = on_it.key_copy_id
                    WHERE on_it.tenant_id = r.tenant_id AND on_it.key_ring_id = r.id AND on_it.ended_at IS NULL), '[]') AS copies
    FROM key_ring r WHERE r.tenant_id = $1`;

export async function insertRing(tx: TenantTransaction, ring: { id: string; code: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_ring (tenant_id, id, code, created_at) VALUES ($1, $2, $3, $4)', [tx.tenantId, ring.id, ring.code, ring.now]);
}

export async function selectRing(tx: TenantTransaction, id: string): Promise<KeyRing | null> {
  const { rows } = await tx.sql<KeyRing>(`${rings} AND r.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockRing(tx: TenantTransaction, id: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM key_ring WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id])).rowCount === 1;
}

export async function selectRings(tx: TenantTransaction, list: { after: string | null; limit: number }): Promise<KeyRing[]> {
  const { rows } = await tx.sql<KeyRing>(`${rings} AND ($2::text IS NULL OR r.code > $2) ORDER BY r.code LIMIT $3`, [tx.tenantId, list.after, list.limit + 1]);
  return rows;
}

/** Where copies hang at present, and whether they exist; in the order of the ids. */
export async function selectWhereCopiesHang(tx: TenantTransaction, ids: readonly string[]): Promise<{ number: string | null; ring_id: string | null; ring_code: string | null }[]> {
  const { rows } = await tx.sql<{ number: string | null; ring_id: string | null; ring_code: string | null }>(
    `SELECT c.number, r.id AS ring_id, r.code AS ring_code
       FROM unnest($2::uuid[]) WITH ORDINALITY AS w (id, number_asked)
       LEFT JOIN key_copy c ON c.tenant_id = $1 AND c.id = w.id
       LEFT JOIN key_ring_copy on_it ON on_it.tenant_id = $1 AND on_it.key_copy_id = w.id AND on_it.ended_at IS NULL
       LEFT JOIN key_ring r ON r.tenant_id = $1 AND r.id = on_it.key_ring_id
      ORDER BY w.number_asked`,
    [tx.tenantId, ids],
  );
  return rows;
}

/** A copy may go on and off again within one tick of the clock, or after the clock was put back: each stay keeps its order and some length. */
export async function takeOff(tx: TenantTransaction, change: { ringId: string; ids: readonly string[]; now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE key_ring_copy SET ended_at = greatest($4, started_at + interval '1 millisecond')
      WHERE tenant_id = $1 AND key_ring_id = $2 AND key_copy_id = ANY ($3::uuid[]) AND ended_at IS NULL`,
    [tx.tenantId, change.ringId, change.ids, change.now],
  );
}

export async function putOn(tx: TenantTransaction, change: { ringId: string; copies: readonly { id: string; copyId: string }[]; now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO key_ring_copy (tenant_id, id, key_ring_id, key_copy_id, started_at)
     SELECT $1, c.id, $2, c.copy_id, greatest($5, (SELECT max(before.ended_at) FROM key_ring_copy before WHERE before.tenant_id = $1 AND before.key_copy_id = c.copy_id))
       FROM unnest($3::uuid[], $4::uuid[]) AS c (id, copy_id)`,
    [tx.tenantId, change.ringId, change.copies.map(({ id }) => id), change.copies.map(({ copyId }) => copyId), change.now],
  );
}
