import { withoutTenant } from '#database/tenant';
import type { Actor } from '#domain/permissions/role';
import type { Backoffice } from '../dependencies';
import { hashSecret } from '../identity/secret';
import { selectBySecret } from './api-token.sql';

/** Who a bearer token acts as, or `null` for one that is unknown, expired or revoked: which of these is not said. */
export async function authenticateApiToken(deps: Backoffice, secret: string): Promise<{ actor: Actor; operatorCode: string } | null> {
  const row = await withoutTenant(deps.database, { kind: 'system', id: 'tokens' }, (call) =>
    selectBySecret(call, { secretHash: hashSecret(secret), now: deps.clock.now() }),
  );
  if (row === null) return null;
  return {
    operatorCode: row.operator_code,
    actor: { kind: 'token', id: row.token_id, tenantId: row.tenant_id, role: row.role, scopes: row.scopes },
  };
}
