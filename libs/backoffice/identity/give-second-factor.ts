import type { GiveSecondFactor } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Backoffice } from '../dependencies';
import { checkSecondFactor } from './check-second-factor';
import type { OpenedSession } from './open-session';
import { renewSession } from './renew-session';
import type { SignedIn } from './session';
import type { Visitor } from './visitor';

/** The second step of signing in. */
export async function giveSecondFactor(
  deps: Backoffice,
  visitor: Visitor,
  command: GiveSecondFactor & { signedIn: SignedIn },
): Promise<Outcome<OpenedSession>> {
  const { signedIn, code } = command;
  if (signedIn.secondFactor !== 'awaited') return refused('wrong-state', { detail: 'No code is awaited.' });
  const checked = await checkSecondFactor(deps, visitor, { signedIn, code });
  return checked.ok ? done(await renewSession(deps, visitor, { signedIn, secondFactor: 'given' })) : checked;
}
