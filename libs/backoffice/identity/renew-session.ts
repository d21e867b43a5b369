import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { replaceSecret } from './account.sql';
import { describeSession, type OpenedSession } from './open-session';
import { newSecret } from './secret';
import type { SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** Gives a session a new secret when its rights change, so that one that was planted or seen before gains nothing. */
export async function renewSession(
  deps: Backoffice,
  visitor: Visitor,
  change: { signedIn: SignedIn; secondFactor: 'none' | 'given' },
): Promise<OpenedSession> {
  const secret = newSecret();
  await withoutTenant(deps.database, signInScope(visitor), (call) =>
    replaceSecret(call, { secretHash: change.signedIn.secretHash, newSecretHash: secret.hash, secondFactor: change.secondFactor }),
  );
  return describeSession(deps, secret.text);
}
