import type { TenantTransaction } from '#database/tenant';

export type DeviceRow = {
  id: string;
  name: string;
  account_id: string;
  person_id: string | null;
  person_name: string | null;
  registered_at: Date;
  revoked_at: Date | null;
  revoked_by: string | null;
  revoked_because: string | null;
  released_at: Date | null;
  released_by: string | null;
  released_because: string | null;
  visits: number;
  last_visit_at: Date | null;
};

export async function insertDevice(
  tx: TenantTransaction,
  device: { readonly id: string; readonly name: string; readonly accountId: string; readonly personId: string | null; readonly secretHash: Buffer; readonly now: Date },
): Promise<void> {
  await tx.sql('INSERT INTO collector_device (tenant_id, id, name, account_id, person_id, secret_hash, registered_at) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId,
    device.id,
    device.name,
    device.accountId,
    device.personId,
    device.secretHash,
    device.now,
  ]);
}

/** The latest first; only one, or only those of one account, when it is named. */
export async function selectDevices(tx: TenantTransaction, list: { readonly id: string | null; readonly accountId: string | null }): Promise<DeviceRow[]> {
  const { rows } = await tx.sql<DeviceRow>(
    `SELECT d.id, d.name, d.account_id, d.person_id, p.name AS person_name, d.registered_at, d.revoked_at, d.revoked_by, d.revoked_because, d.released_at, d.released_by, d.released_because,
            sent.visits, sent.last_visit_at
       FROM collector_device d
       LEFT JOIN person p ON p.tenant_id = d.tenant_id AND p.id = d.person_id
       CROSS JOIN LATERAL (SELECT count(*)::integer AS visits, max(v.received_at) AS last_visit_at FROM phone_visit v WHERE v.tenant_id = d.tenant_id AND v.device_id = d.id) sent
      WHERE d.tenant_id = $1 AND ($2::uuid IS NULL OR d.id = $2) AND ($3::uuid IS NULL OR d.account_id = $3)
      ORDER BY d.registered_at DESC, d.id DESC`,
    [tx.tenantId, list.id, list.accountId],
  );
  return rows;
}

/** Revoking twice keeps the first time and reason. */
export async function markRevoked(tx: TenantTransaction, device: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql('UPDATE collector_device SET revoked_at = $3, revoked_by = $4, revoked_because = $5 WHERE tenant_id = $1 AND id = $2 AND revoked_at IS NULL', [
    tx.tenantId,
    device.id,
    device.now,
    tx.actor,
    device.reason,
  ]);
}

/** Phones of an account that were revoked, and for which nobody released it yet, held so that none is released twice. */
export async function selectUnreleased(tx: TenantTransaction, accountId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ name: string }>(
    'SELECT name FROM collector_device WHERE tenant_id = $1 AND account_id = $2 AND revoked_at IS NOT NULL AND released_at IS NULL ORDER BY revoked_at, id FOR SHARE',
    [tx.tenantId, accountId],
  );
  return rows.map((row) => row.name);
}

/** Whether it was not released before; releasing twice keeps the first time and reason. */
export async function markReleased(tx: TenantTransaction, device: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE collector_device SET released_at = $3, released_by = $4, released_because = $5 WHERE tenant_id = $1 AND id = $2 AND released_at IS NULL', [
    tx.tenantId,
    device.id,
    device.now,
    tx.actor,
    device.reason,
  ]);
  return rowCount > 0;
}

export type SendingDevice = { id: string; account_id: string; person_id: string | null; secret_hash: Buffer; revoked_at: Date | null };

/** Held until the transaction ends: two visits of one phone come one after the other. */
export async function lockDevice(tx: TenantTransaction, id: string): Promise<SendingDevice | null> {
  const { rows } = await tx.sql<SendingDevice>('SELECT id, account_id, person_id, secret_hash, revoked_at FROM collector_device WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id]);
  return rows[0] ?? null;
}
