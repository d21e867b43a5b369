import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import { createHash } from 'node:crypto';
import type { Backoffice } from '../dependencies';
import { beginAttempt, markSucceeded, selectCredentials, takeFactorStep, takeRecoveryCode } from './account.sql';
import type { SignedIn } from './session';
import { hashRecoveryCode, matchingStep } from './time-code';
import { signInScope, type Visitor } from './visitor';

/** What the sealed secret of an authenticator app is sealed for. */
export const FACTOR_PURPOSE = 'second factor';

/**
 * Whether the code is the present one of the account's authenticator app, or one of its unused recovery codes. Each is taken
 * once. A million codes are few, so failed ones lock like failed passwords, counted apart from them.
 */
export async function checkSecondFactor(
  deps: Backoffice,
  visitor: Visitor,
  given: { signedIn: SignedIn; code: string },
): Promise<Outcome<undefined>> {
  const { signedIn, code } = given;
  const { secretHash } = signedIn;
  const subjectHash = createHash('sha256').update(`second factor\0${signedIn.accountId}`).digest();
  const attemptId = deps.newId();
  return withoutTenant<Outcome<undefined>>(deps.database, signInScope(visitor), async (call) => {
    const now = deps.clock.now();
    const lockedSeconds = await beginAttempt(call, { attemptId, subjectHash, address: visitor.address, now });
    if (lockedSeconds > 0) return refused('sign-in-locked', { retryAfterSeconds: lockedSeconds });
    const credentials = await selectCredentials(call, secretHash);
    if (!credentials?.factor_confirmed || credentials.sealed_factor_secret === null) return refused('wrong-state', { detail: 'The account has no second factor.' });
    const secret = deps.accountSecrets.open({ sealed: credentials.sealed_factor_secret, accountId: signedIn.accountId, purpose: FACTOR_PURPOSE });
    const step = matchingStep({ secret: secret.toString('utf8'), code, now });
    const isTaken =
      step === null
        ? await takeRecoveryCode(call, { secretHash, codeHash: hashRecoveryCode(code), now })
        : await takeFactorStep(call, { secretHash, step });
    if (!isTaken) return refused('second-factor-wrong');
    await markSucceeded(call, attemptId);
    return done(undefined);
  });
}
