import { command, read } from './call';
import { rememberCsrfToken, sendFor } from './send';
import type { Account } from './shapes';

/** Requests about the signed-in person, which belong to no operator. */
const send = sendFor(null);

export async function readAccount(signal?: AbortSignal): Promise<Account> {
  return remembered(await read<Account>(send, '/session', {}, signal));
}

/** The answer may still await the second factor. */
export async function signIn(credentials: { readonly email: string; readonly password: string }): Promise<Account> {
  return remembered(await command<Account>(send, 'POST', '/session', credentials));
}

export async function giveSecondFactor(code: string): Promise<Account> {
  return remembered(await command<Account>(send, 'POST', '/session/second-factor', { code }));
}

export const signOut = () => command<undefined>(send, 'DELETE', '/session');

function remembered(account: Account): Account {
  rememberCsrfToken(account.csrf);
  return account;
}
