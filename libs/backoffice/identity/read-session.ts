import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectSession } from './account.sql';
import { hashSecret } from './secret';
import { SESSION_IDLE_HOURS, type SignedIn } from './session';

/** Whom a session's secret stands for, with everything they are anywhere, or `null` for a secret that opens nothing. */
export async function readSession(deps: Backoffice, secret: string): Promise<SignedIn | null> {
  const secretHash = hashSecret(secret);
  const row = await withoutTenant(deps.database, { kind: 'system', id: 'sessions' }, (call) =>
    selectSession(call, { secretHash, now: deps.clock.now(), idleHours: SESSION_IDLE_HOURS }),
  );
  if (row === null) return null;
  return {
    sessionId: row.session_id,
    accountId: row.account_id,
    email: row.email,
    name: row.name,
    language: row.language,
    secondFactor: row.second_factor,
    hasSecondFactor: row.has_second_factor,
    memberships: row.memberships,
    secretHash,
  };
}
