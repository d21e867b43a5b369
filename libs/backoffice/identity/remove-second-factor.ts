import type { RemoveFactor } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { deleteFactor } from './account.sql';
import { checkPassword } from './check-password';
import { checkSecondFactor } from './check-second-factor';
import type { OpenedSession } from './open-session';
import { renewSession } from './renew-session';
import type { SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** Takes the second factor away, with password and code (or a recovery code, for a lost device) as at sign-in. */
export async function removeSecondFactor(
  deps: Backoffice,
  visitor: Visitor,
  command: RemoveFactor & { signedIn: SignedIn },
): Promise<Outcome<OpenedSession>> {
  const { signedIn, password, code } = command;
  if (signedIn.secondFactor !== 'given') return refused('wrong-state', { detail: 'Sign in with the second factor first.' });
  const checkedPassword = await checkPassword(deps, visitor, { email: signedIn.email, password });
  if (!checkedPassword.ok) return checkedPassword;
  const checkedCode = await checkSecondFactor(deps, visitor, { signedIn, code });
  if (!checkedCode.ok) return checkedCode;
  await withoutTenant(deps.database, signInScope(visitor), (call) => deleteFactor(call, signedIn.secretHash));
  return done(await renewSession(deps, visitor, { signedIn, secondFactor: 'none' }));
}
