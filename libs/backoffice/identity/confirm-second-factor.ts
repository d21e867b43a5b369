import type { ConfirmFactor } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectCredentials, updateFactorConfirmed } from './account.sql';
import { FACTOR_PURPOSE } from './check-second-factor';
import type { OpenedSession } from './open-session';
import { renewSession } from './renew-session';
import type { SignedIn } from './session';
import { hashRecoveryCode, matchingStep, newRecoveryCodes } from './time-code';
import { signInScope, type Visitor } from './visitor';

/** Puts the proposed authenticator app in force, once a code shows that the person's device has it. */
export async function confirmSecondFactor(
  deps: Backoffice,
  visitor: Visitor,
  command: ConfirmFactor & { signedIn: SignedIn },
): Promise<Outcome<{ session: OpenedSession; recoveryCodes: string[] }>> {
  const { signedIn, code } = command;
  const recoveryCodes = newRecoveryCodes();
  const confirmed = await withoutTenant<Outcome<undefined>>(deps.database, signInScope(visitor), async (call) => {
    const now = deps.clock.now();
    const credentials = await selectCredentials(call, signedIn.secretHash);
    const sealed = credentials?.sealed_factor_secret ?? null;
    if (sealed === null || credentials?.factor_confirmed === true) return refused('wrong-state', { detail: 'No second factor waits to be confirmed.' });
    const secret = deps.accountSecrets.open({ sealed, accountId: signedIn.accountId, purpose: FACTOR_PURPOSE });
    const step = matchingStep({ secret: secret.toString('utf8'), code, now });
    if (step === null) return refused('second-factor-wrong');
    const recoveryHashes = recoveryCodes.map(hashRecoveryCode);
    const isConfirmed = await updateFactorConfirmed(call, { secretHash: signedIn.secretHash, step, recoveryHashes, now });
    return isConfirmed ? done(undefined) : refused('wrong-state', { detail: 'No second factor waits to be confirmed.' });
  });
  if (!confirmed.ok) return confirmed;
  return done({ session: await renewSession(deps, visitor, { signedIn, secondFactor: 'given' }), recoveryCodes });
}
