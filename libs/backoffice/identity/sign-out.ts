import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { deleteAllSessions, deleteSession } from './account.sql';
import type { SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** Ends this session, or with `everywhere` every session of the account, this one included. */
export async function signOut(
  deps: Backoffice,
  visitor: Visitor,
  command: { signedIn: SignedIn; everywhere: boolean },
): Promise<Outcome<undefined>> {
  const { secretHash, secondFactor } = command.signedIn;
  if (command.everywhere && secondFactor === 'awaited') return refused('not-signed-in', { detail: 'The code of the second factor is missing.' });
  await withoutTenant(deps.database, signInScope(visitor), (call) =>
    command.everywhere ? deleteAllSessions(call, { secretHash, keepThis: false }) : deleteSession(call, secretHash),
  );
  return done(undefined);
}
