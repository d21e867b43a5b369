import type { AcceptInvitation } from '#contracts/account';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import { rolledBack, withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectLink, takeInvitation } from './account.sql';
import { weakPassword } from './change-password';
import { checkPassword } from './check-password';
import { openSession, type OpenedSession } from './open-session';
import { hashPassword, isWeakPassword } from './password';
import { hashSecret } from './secret';
import { signInScope, type Visitor } from './visitor';

/**
 * Uses an invitation: makes the account, or adds the operator to the one that the address has, for which its password is
 * asked. The link alone must not open somebody's existing account to whoever sent it.
 */
export async function acceptInvitation(deps: Backoffice, visitor: Visitor, command: AcceptInvitation): Promise<Outcome<OpenedSession>> {
  const secretHash = hashSecret(command.secret);
  const link = await withoutTenant(deps.database, signInScope(visitor), (call) => selectLink(call, { secretHash, now: deps.clock.now() }));
  if (link?.kind !== 'invitation') return refused('link-unusable');
  const holder = link.has_account
    ? await holderOf(deps, visitor, { email: link.email, password: command.password })
    : newHolder(deps, { email: link.email, name: command.name, password: command.password });
  if (!holder.ok) return holder;
  const passwordHash = await hashPassword(command.password);
  const isTaken = await withoutTenant(deps.database, signInScope(visitor), async (call) => {
    const { accountId, name } = holder.value;
    const member = await takeInvitation(call, { secretHash, newAccountId: accountId, name, passwordHash, now: deps.clock.now() });
    // Another account may have been made for the address a moment ago; this password was not checked against that one.
    return member === accountId ? true : rolledBack(false);
  });
  if (!isTaken) return refused('link-unusable');
  return done(await openSession(deps, visitor, holder.value.accountId));
}

type Holder = { accountId: string; name: string };

async function holderOf(deps: Backoffice, visitor: Visitor, given: { email: string; password: string }): Promise<Outcome<Holder>> {
  const checked = await checkPassword(deps, visitor, given);
  return checked.ok ? done({ accountId: checked.value.accountId, name: given.email }) : checked;
}

function newHolder(deps: Backoffice, given: { email: string; name: string | undefined; password: string }): Outcome<Holder> {
  const { email, name, password } = given;
  if (name === undefined) return refusedFields('invalid-command', [{ path: ['name'], code: 'missing', message: 'A new account needs your name.' }]);
  if (isWeakPassword(password, [email, name])) return weakPassword('password');
  return done({ accountId: deps.newId(), name });
}
