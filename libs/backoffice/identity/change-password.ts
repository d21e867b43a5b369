import type { ChangePassword } from '#contracts/account';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { deleteAllSessions, updatePassword } from './account.sql';
import { checkPassword } from './check-password';
import type { OpenedSession } from './open-session';
import { hashPassword, isWeakPassword } from './password';
import { renewSession } from './renew-session';
import type { SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** A new password closes every other session: whoever changes it may do so because somebody else is in. */
export async function changePassword(
  deps: Backoffice,
  visitor: Visitor,
  command: ChangePassword & { signedIn: SignedIn },
): Promise<Outcome<OpenedSession>> {
  const { signedIn, currentPassword, newPassword } = command;
  if (signedIn.secondFactor === 'awaited') return refused('not-signed-in', { detail: 'The code of the second factor is missing.' });
  const checked = await checkPassword(deps, visitor, { email: signedIn.email, password: currentPassword });
  if (!checked.ok) return checked;
  if (isWeakPassword(newPassword, [signedIn.email, signedIn.name])) return weakPassword('newPassword');
  const passwordHash = await hashPassword(newPassword);
  const { secretHash, secondFactor } = signedIn;
  await withoutTenant(deps.database, signInScope(visitor), async (call) => {
    await updatePassword(call, { secretHash, passwordHash, now: deps.clock.now() });
    await deleteAllSessions(call, { secretHash, keepThis: true });
  });
  return done(await renewSession(deps, visitor, { signedIn, secondFactor }));
}

export function weakPassword(field: string): Outcome<never> {
  return refusedFields('password-too-weak', [{ path: [field], code: 'too-weak', message: 'Choose at least 12 characters that nobody would guess.' }]);
}
