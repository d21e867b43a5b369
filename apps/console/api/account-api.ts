import * as sdk from '../generated';
import type { Account, CustodyConfirmation, LookAtLinkResponse, StatementStanding } from '../generated';
import type { StandingAsked } from '#statement/verify/standing-question';
import { clientFor } from './client';
import { rememberCsrfToken } from './send';

/** Requests about the person who is signed in, or about to; they belong to no operator. */
const base = clientFor(null);
/** The same about what belongs to whoever is signed in already. */
const own = clientFor(null, { asksAgain: true });

export async function readAccount(signal?: AbortSignal): Promise<Account> {
  const { data } = await sdk.readAccount({ ...base, signal: signal ?? null });
  return remembered(data);
}

/** The answer may still await the second factor. */
export async function signIn(body: { readonly email: string; readonly password: string }): Promise<Account> {
  return remembered((await sdk.signIn({ ...base, body })).data);
}

export async function giveSecondFactor(code: string): Promise<Account> {
  return remembered((await sdk.giveSecondFactor({ ...base, body: { code } })).data);
}

export async function signOut(): Promise<void> {
  await sdk.signOut(base);
}

export async function signOutEverywhere(): Promise<void> {
  await sdk.signOutEverywhere(own);
}

export async function changePassword(body: { readonly currentPassword: string; readonly newPassword: string }): Promise<Account> {
  return remembered((await sdk.changePassword({ ...own, body })).data);
}

export async function chooseLanguage(language: NonNullable<Account['language']>): Promise<void> {
  remembered((await sdk.chooseLanguage({ ...own, body: { language } })).data);
}

/** What an authenticator app needs to be told. */
export async function proposeSecondFactor(password: string): Promise<{ secret: string; address: string }> {
  return (await sdk.proposeSecondFactor({ ...own, body: { password } })).data;
}

export async function confirmSecondFactor(code: string): Promise<{ recoveryCodes: string[]; account: Account }> {
  const { data } = await sdk.confirmSecondFactor({ ...own, body: { code } });
  return { ...data, account: remembered(data.account) };
}

export async function removeSecondFactor(body: { readonly password: string; readonly code: string }): Promise<Account> {
  return remembered((await sdk.removeSecondFactor({ ...own, body })).data);
}

/** What a one-use link is for; `secret` is what it has after its #. */
export async function lookAtLink(secret: string): Promise<LookAtLinkResponse> {
  return (await sdk.lookAtLink({ ...base, body: { secret } })).data;
}

export async function acceptInvitation(body: { secret: string; name?: string; password: string }): Promise<Account> {
  return remembered((await sdk.acceptInvitation({ ...base, body })).data);
}

export async function setPasswordByLink(body: { readonly secret: string; readonly password: string }): Promise<void> {
  await sdk.setPasswordByLink({ ...base, body });
}

/** Whether a statement was reversed since, for whoever holds it. */
export async function askStanding(asked: StandingAsked, signal: AbortSignal): Promise<StatementStanding> {
  return (await sdk.standingStatement({ ...base, signal, query: asked })).data;
}

/** What is confirmed by the link of a key; `secret` is what it has after its #. */
export async function lookAtCustodyLink(secret: string): Promise<CustodyConfirmation> {
  return (await sdk.lookCustodyLink({ ...base, body: { secret } })).data;
}

export async function confirmCustody(secret: string): Promise<CustodyConfirmation> {
  return (await sdk.confirmCustodyLink({ ...base, body: { secret } })).data;
}

export async function denyCustody(secret: string): Promise<CustodyConfirmation> {
  return (await sdk.denyCustodyLink({ ...base, body: { secret } })).data;
}

function remembered(account: Account): Account {
  rememberCsrfToken(account.csrf);
  return account;
}
