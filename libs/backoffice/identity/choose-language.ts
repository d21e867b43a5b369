import type { ChooseLanguage } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { updateLanguage } from './account.sql';
import type { SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** Keeps the language of the console with the account, so that another browser speaks it, too. */
export async function chooseLanguage(deps: Backoffice, visitor: Visitor, command: ChooseLanguage & { signedIn: SignedIn }): Promise<Outcome<SignedIn>> {
  const { signedIn, language } = command;
  if (signedIn.secondFactor === 'awaited') return refused('not-signed-in', { detail: 'The code of the second factor is missing.' });
  await withoutTenant(deps.database, signInScope(visitor), (call) => updateLanguage(call, { secretHash: signedIn.secretHash, language }));
  return done({ ...signedIn, language });
}
