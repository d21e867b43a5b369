import type { TenantTransaction } from '#database/tenant';
import { onlyRow } from '../rows';

export type PartyRow = { id: string; code: string; name: string; address: string[]; locale: string; email: string | null; erased_at: Date | null; revision: number };

const columns = 'id, code, name, address, locale, email, erased_at, revision';

export async function insertParty(tx: TenantTransaction, party: Omit<PartyRow, 'revision' | 'erased_at'> & { now: Date }): Promise<PartyRow> {
  const { rows } = await tx.sql<PartyRow>(
    `INSERT INTO party (tenant_id, id, code, name, address, locale, email, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING ${columns}`,
    [tx.tenantId, party.id, party.code, party.name, party.address, party.locale, party.email, party.now],
  );
  return onlyRow(rows);
}

export async function selectParty(tx: TenantTransaction, id: string): Promise<PartyRow | null> {
  const { rows } = await tx.sql<PartyRow>(`SELECT ${columns} FROM party WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockParty(tx: TenantTransaction, id: string): Promise<PartyRow | null> {
  const { rows } = await tx.sql<PartyRow>(`SELECT ${columns} FROM party WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateParty(tx: TenantTransaction, party: PartyRow): Promise<PartyRow> {
  const { rows } = await tx.sql<PartyRow>(
    `UPDATE party SET code = $3, name = $4, address = $5, locale = $6, email = $7, erased_at = $8 WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`,
    [tx.tenantId, party.id, party.code, party.name, party.address, party.locale, party.email, party.erased_at],
  );
  return onlyRow(rows);
}

export async function selectParties(tx: TenantTransaction, list: { after: string | null; limit: number; pattern: string | null }): Promise<PartyRow[]> {
  const { rows } = await tx.sql<PartyRow>(
    `SELECT ${columns} FROM party
      WHERE tenant_id = $1
        AND ($2::text IS NULL OR code > $2)
        AND ($3::text IS NULL OR code ILIKE $3 OR name ILIKE $3)
      ORDER BY code LIMIT $4`,
    [tx.tenantId, list.after, list.pattern, list.limit + 1],
  );
  return rows;
}
