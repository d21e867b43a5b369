import type { SetPasswordByLink } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectLink, takePasswordLink } from './account.sql';
import { weakPassword } from './change-password';
import { hashPassword, isWeakPassword } from './password';
import { hashSecret } from './secret';
import { signInScope, type Visitor } from './visitor';

/**
 * Sets a new password with a link from an owner, closes all sessions and lifts the lock of failed attempts. It opens no session:
 * whoever set the password signs in with it, and with the second factor if there is one.
 */
export async function setPasswordByLink(deps: Backoffice, visitor: Visitor, command: SetPasswordByLink): Promise<Outcome<undefined>> {
  const secretHash = hashSecret(command.secret);
  const link = await withoutTenant(deps.database, signInScope(visitor), (call) => selectLink(call, { secretHash, now: deps.clock.now() }));
  if (link?.kind !== 'new-password') return refused('link-unusable');
  if (isWeakPassword(command.password, [link.email])) return weakPassword('password');
  const passwordHash = await hashPassword(command.password);
  const isTaken = await withoutTenant(deps.database, signInScope(visitor), (call) =>
    takePasswordLink(call, { secretHash, passwordHash, now: deps.clock.now() }),
  );
  return isTaken ? done(undefined) : refused('link-unusable');
}
