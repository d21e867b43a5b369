import type { Link, LookAtLink } from '#contracts/account';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withoutTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectLink } from './account.sql';
import { hashSecret } from './secret';
import { signInScope, type Visitor } from './visitor';

/** What a one-use link is for, told to whoever holds it. */
export async function lookAtLink(deps: Backoffice, visitor: Visitor, command: LookAtLink): Promise<Outcome<Link>> {
  const row = await withoutTenant(deps.database, signInScope(visitor), (call) =>
    selectLink(call, { secretHash: hashSecret(command.secret), now: deps.clock.now() }),
  );
  if (row === null) return refused('link-unusable');
  return done({ kind: row.kind, operatorName: row.operator_name, email: row.email, hasAccount: row.has_account });
}
