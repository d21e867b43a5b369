import type { ApiToken } from '#contracts/api-token';
import { formatInstant } from '#contracts/format';
import type { ApiTokenRow } from './api-token.sql';

/** A stored token as the API shows it. */
export function toApiToken(row: ApiTokenRow): ApiToken {
  return {
    id: row.id,
    name: row.name,
    role: row.role,
    scopes: row.scopes,
    hint: row.hint,
    createdBy: row.created_by,
    createdAt: formatInstant(row.created_at),
    expiresAt: formatInstant(row.expires_at),
    lastUsedAt: row.last_used_at && formatInstant(row.last_used_at),
    revokedAt: row.revoked_at && formatInstant(row.revoked_at),
  };
}
