import { done, type Outcome } from '#contracts/outcome';
import type { VisitWithdrawn } from '#contracts/visit';
import { can } from '#domain/permissions/can';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { keptAside, ruledAlready } from './rule';
import { insertRuling } from './visit.sql';

/** Withdraws a visit that was kept aside: whoever collects, one of their own. It stays on the list, with the reason, and enters no books. */
export function withdrawVisit(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<VisitWithdrawn>> {
  const { id, reason } = command;
  return perform<VisitWithdrawn>(
    deps,
    caller,
    'visit.withdraw',
    async ({ tx, now }) => {
      const row = await keptAside(tx, id, { madeBy: can(caller, 'visit.rule') || caller.kind !== 'user' ? null : caller.id });
      if (!row.ok) return row;
      await insertRuling(tx, { visitId: id, kind: 'withdrawn', reason, entered: null, collectionId: null, now });
      return done({ id, state: 'withdrawn' });
    },
    { constraints: { phone_visit_ruling_pkey: ruledAlready } },
  );
}
