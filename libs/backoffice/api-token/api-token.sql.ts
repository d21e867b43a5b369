import type { TenantTransaction } from '#database/tenant';
import type { Role, Scope } from '#domain/permissions/role';
import type { IdentityCall } from '../identity/account.sql';

export type ApiTokenRow = {
  id: string;
  name: string;
  role: Exclude<Role, 'site-manager'>;
  scopes: Scope[];
  hint: string;
  created_by: string;
  created_at: Date;
  expires_at: Date;
  last_used_at: Date | null;
  revoked_at: Date | null;
};

export async function insertApiToken(
  tx: TenantTransaction,
  token: { id: string; name: string; role: Role; scopes: readonly Scope[]; secretHash: Buffer; hint: string; now: Date; expiresAt: Date },
): Promise<void> {
  const { id, name, role, scopes, secretHash, hint, now, expiresAt } = token;
  await tx.sql('SELECT identity.create_api_token($1, $2, $3, $4, $5, $6, $7, $8)', [id, name, role, scopes, secretHash, hint, now, expiresAt]);
}

export async function selectApiToken(tx: TenantTransaction, id: string): Promise<ApiTokenRow | null> {
  const { rows } = await tx.sql<ApiTokenRow>('SELECT * FROM identity.api_tokens() WHERE id = $1', [id]);
  return rows[0] ?? null;
}

/** By name, then id; one row more than the page holds, to know whether there is a next one. */
export async function selectApiTokens(
  tx: TenantTransaction,
  page: { after: readonly [name: string, id: string] | null; limit: number },
): Promise<ApiTokenRow[]> {
  const [name, id] = page.after ?? [null, null];
  const { rows } = await tx.sql<ApiTokenRow>(
    `SELECT * FROM identity.api_tokens()
      WHERE $1::text IS NULL OR (name, id) > ($1, $2::uuid)
      ORDER BY name, id LIMIT $3`,
    [name, id, page.limit + 1],
  );
  return rows;
}

/** Revoking twice keeps the first time. */
export async function revokeApiToken(tx: TenantTransaction, input: { id: string; now: Date }): Promise<void> {
  await tx.sql('SELECT identity.revoke_api_token($1, $2)', [input.id, input.now]);
}

export type BearerRow = { tenant_id: string; operator_code: string; token_id: string; role: Role; scopes: Scope[] };

export async function selectBySecret(call: IdentityCall, input: { secretHash: Buffer; now: Date }): Promise<BearerRow | null> {
  const rows = await call<BearerRow>('identity.api_token_by_secret', input.secretHash, input.now);
  return rows[0] ?? null;
}
