import type { KeyStore } from '#contracts/key-store';
import type { TenantTransaction } from '#database/tenant';

type StoreRow = { id: string; code: string; name: string; kind: KeyStore['kind']; person_id: string | null; person_name: string | null; started_at: Date | null; also_collects: boolean };

/** `$2` is the present instant. */
const stores = `
  SELECT s.id, s.code, s.name, s.kind, c.person_id, p.name AS person_name, c.started_at,
         EXISTS (SELECT FROM relaxed_record r WHERE r.tenant_id = c.tenant_id AND r.record_id = c.id AND r.rule = 'custodian-apart') AS also_collects
    FROM key_store s
    LEFT JOIN key_custodian c ON c.tenant_id = s.tenant_id AND c.key_store_id = s.id AND tstzrange(c.started_at, c.ended_at, '[)') @> $2::timestamptz
    LEFT JOIN person p ON p.tenant_id = c.tenant_id AND p.id = c.person_id
   WHERE s.tenant_id = $1`;

function toStore({ id, code, name, kind, person_id: personId, person_name: personName, started_at: since, also_collects: alsoCollects }: StoreRow): KeyStore {
  return { id, code, name, kind, custodian: personId === null || since === null ? null : { personId, name: personName ?? '', since: since.toISOString(), alsoCollects } };
}

export async function insertStore(tx: TenantTransaction, store: Omit<KeyStore, 'custodian'> & { now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_store (tenant_id, id, code, name, kind, created_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId, store.id, store.code, store.name, store.kind, store.now,
  ]);
}

export async function selectStore(tx: TenantTransaction, query: { id: string; now: Date }): Promise<KeyStore | null> {
  const { rows } = await tx.sql<StoreRow>(`${stores} AND s.id = $3`, [tx.tenantId, query.now, query.id]);
  return rows[0] === undefined ? null : toStore(rows[0]);
}

export async function selectStores(tx: TenantTransaction, list: { now: Date; after: string | null; limit: number }): Promise<KeyStore[]> {
  const { rows } = await tx.sql<StoreRow>(`${stores} AND ($3::text IS NULL OR s.code > $3) ORDER BY s.code LIMIT $4`, [tx.tenantId, list.now, list.after, list.limit + 1]);
  return rows.map(toStore);
}

/** Held while its custodian changes. */
export async function lockStore(tx: TenantTransaction, id: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM key_store WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id])).rowCount === 1;
}

export async function selectLastCustodian(tx: TenantTransaction, storeId: string): Promise<{ id: string; person_id: string; started_at: Date; ended_at: Date | null } | null> {
  const { rows } = await tx.sql<{ id: string; person_id: string; started_at: Date; ended_at: Date | null }>(
    'SELECT id, person_id, started_at, ended_at FROM key_custodian WHERE tenant_id = $1 AND key_store_id = $2 ORDER BY started_at DESC LIMIT 1',
    [tx.tenantId, storeId],
  );
  return rows[0] ?? null;
}

/** The person's name, if they collect: as a member in that role, or by a collection of the last month; who did so before may have got another task. */
export async function whoCollects(tx: TenantTransaction, who: { personId: string; now: Date }): Promise<string | null> {
  const { rows } = await tx.sql<{ name: string }>(
    `SELECT p.name FROM person p
      WHERE p.tenant_id = $1 AND p.id = $2
        AND (EXISTS (SELECT FROM identity.members() m WHERE m.person_id = p.id AND m.role = 'collector')
          OR EXISTS (SELECT FROM collection c WHERE c.tenant_id = $1 AND c.collected_by = p.id AND c.state <> 'discarded' AND c.happened_at > $3::timestamptz - interval '1 month'))`,
    [tx.tenantId, who.personId, who.now],
  );
  return rows[0]?.name ?? null;
}

export async function endCustodian(tx: TenantTransaction, end: { id: string; at: Date; now: Date }): Promise<void> {
  await tx.sql('UPDATE key_custodian SET ended_at = $3, end_recorded_at = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, end.id, end.at, end.now]);
}

export async function insertCustodian(tx: TenantTransaction, custodian: { id: string; storeId: string; personId: string; since: Date; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_custodian (tenant_id, id, key_store_id, person_id, started_at, recorded_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId, custodian.id, custodian.storeId, custodian.personId, custodian.since, custodian.now,
  ]);
}
