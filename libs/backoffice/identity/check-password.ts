import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { beginAttempt, markSucceeded, selectAccount } from './account.sql';
import { verifyPassword } from './password';
import { hashEmail } from './secret';
import { signInScope, type Visitor } from './visitor';

/**
 * Whether this is the password of the account with this address. Counts as an attempt to sign in, whatever it is asked for:
 * a stolen session must not become a place to guess the password. An address without an account takes as long, locks
 * alike and is refused alike.
 */
export async function checkPassword(
  deps: Backoffice,
  visitor: Visitor,
  given: { email: string; password: string },
): Promise<Outcome<{ accountId: string; hasSecondFactor: boolean }>> {
  const emailHash = hashEmail(given.email);
  const attemptId = deps.newId();
  const begun = await withoutTenant(deps.database, signInScope(visitor), async (call) => ({
    lockedSeconds: await beginAttempt(call, { attemptId, subjectHash: emailHash, address: visitor.address, now: deps.clock.now() }),
    account: await selectAccount(call, emailHash),
  }));
  if (begun.lockedSeconds > 0) return refused('sign-in-locked', { retryAfterSeconds: begun.lockedSeconds });
  // Between two transactions: a hash takes tens of milliseconds, for which no connection should be held.
  const isRight = await verifyPassword(begun.account?.password_hash ?? null, given.password);
  if (!isRight || begun.account === null) return refused('sign-in-refused');
  await withoutTenant(deps.database, signInScope(visitor), (call) => markSucceeded(call, attemptId));
  return done({ accountId: begun.account.account_id, hasSecondFactor: begun.account.has_second_factor });
}
