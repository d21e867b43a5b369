import type { Member, OpenLink } from '#contracts/member';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectMembers, selectOpenLinks } from './member.sql';
import { toMember, toOpenLink } from './to-member';

/** Everybody who may sign in at this operator, by name. An operator has few enough to show them all. */
export async function listMembers(deps: Backoffice, caller: Caller): Promise<Outcome<{ items: Member[] }>> {
  return perform(deps, caller, 'member.read', async ({ tx }) => done({ items: (await selectMembers(tx)).map(toMember) }));
}

export async function readMember(deps: Backoffice, caller: Caller, query: { id: string }): Promise<Outcome<Member>> {
  return perform(deps, caller, 'member.read', async ({ tx }) => {
    const row = (await selectMembers(tx)).find((member) => member.account_id === query.id);
    return row === undefined ? refused('not-found') : done(toMember(row));
  });
}

/** Links that were given out and not used yet. */
export async function listOpenLinks(deps: Backoffice, caller: Caller): Promise<Outcome<{ items: OpenLink[] }>> {
  return perform(deps, caller, 'member.read', async ({ tx, now }) => done({ items: (await selectOpenLinks(tx, now)).map(toOpenLink) }));
}
