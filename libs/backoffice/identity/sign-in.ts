import type { SignIn } from '#contracts/account';
import { done, type Outcome } from '#contracts/outcome';
import type { Backoffice } from '../dependencies';
import { checkPassword } from './check-password';
import { openSession, type OpenedSession } from './open-session';
import type { Visitor } from './visitor';

/** Signs in with address and password. With a second factor the session is open for nothing but giving the code. */
export async function signIn(deps: Backoffice, visitor: Visitor, command: SignIn): Promise<Outcome<OpenedSession>> {
  const checked = await checkPassword(deps, visitor, command);
  if (!checked.ok) return checked;
  return done(await openSession(deps, visitor, checked.value.accountId));
}
