import type { ProposedFactor, ProposeFactor } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { insertProposedFactor } from './account.sql';
import { checkPassword } from './check-password';
import { FACTOR_PURPOSE } from './check-second-factor';
import type { SignedIn } from './session';
import { factorAddress, newFactorSecret } from './time-code';
import { signInScope, type Visitor } from './visitor';

/** Begins setting up an authenticator app. Nothing changes until a code of it is confirmed. */
export async function proposeSecondFactor(
  deps: Backoffice,
  visitor: Visitor,
  command: ProposeFactor & { signedIn: SignedIn },
): Promise<Outcome<ProposedFactor>> {
  const { signedIn, password } = command;
  // Somebody who finds an open session must not be able to lock its owner out with a factor of their own.
  const checked = await checkPassword(deps, visitor, { email: signedIn.email, password });
  if (!checked.ok) return checked;
  const secret = newFactorSecret();
  const sealed = deps.accountSecrets.seal({ plaintext: Buffer.from(secret, 'utf8'), accountId: signedIn.accountId, purpose: FACTOR_PURPOSE });
  const isProposed = await withoutTenant(deps.database, signInScope(visitor), (call) =>
    insertProposedFactor(call, { secretHash: signedIn.secretHash, sealed }),
  );
  return isProposed ? done({ secret, address: factorAddress(secret, signedIn.email) }) : refused('wrong-state', { detail: 'The account has a second factor already.' });
}
