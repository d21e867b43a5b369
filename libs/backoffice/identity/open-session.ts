import type { Account } from '#contracts/account';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { insertSession } from './account.sql';
import { readSession } from './read-session';
import { newSecret } from './secret';
import { csrfValue, SESSION_DAYS, type SignedIn } from './session';
import { signInScope, type Visitor } from './visitor';

/** A session that was opened or renewed: its secret for the cookie, and what its holder is told. */
export type OpenedSession = { readonly secret: string; readonly expires: Date; readonly account: Account };

/** Opens a session for an account whose password was just checked. Its second factor, if it has one, is awaited. */
export async function openSession(deps: Backoffice, visitor: Visitor, accountId: string): Promise<OpenedSession> {
  const now = deps.clock.now();
  const secret = newSecret();
  await withoutTenant(deps.database, signInScope(visitor), (call) =>
    insertSession(call, {
      sessionId: deps.newId(),
      secretHash: secret.hash,
      accountId,
      address: visitor.address,
      userAgent: visitor.userAgent.slice(0, 300),
      now,
      until: sessionEnd(now),
    }),
  );
  return describeSession(deps, secret.text);
}

/** The session behind a secret that was just made. */
export async function describeSession(deps: Backoffice, secret: string): Promise<OpenedSession> {
  const signedIn = await readSession(deps, secret);
  if (signedIn === null) throw new Error('a session that was just opened is not there');
  return { secret, expires: sessionEnd(deps.clock.now()), account: toAccount(signedIn, secret) };
}

/** What the holder of a session is told. Before the second factor, nothing about their operators. */
export function toAccount(signedIn: SignedIn, secret: string): Account {
  return {
    id: signedIn.accountId,
    email: signedIn.email,
    name: signedIn.name,
    language: signedIn.language,
    secondFactor: signedIn.secondFactor,
    operators:
      signedIn.secondFactor === 'awaited'
        ? []
        : signedIn.memberships.map(({ tenantId, siteIds, ...rest }) => ({ id: tenantId, ...rest, siteIds: [...siteIds] })),
    csrf: csrfValue(secret),
  };
}

function sessionEnd(now: Date): Date {
  return new Date(now.getTime() + SESSION_DAYS * 24 * 60 * 60 * 1000);
}
