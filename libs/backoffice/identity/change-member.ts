import type { ChangeMember, Member } from '#contracts/member';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { wrongMember } from './check-member';
import { selectMembers, updateMember } from './member.sql';
import { toMember } from './to-member';

/** Gives a member another role, other sites or another person. It holds from their next request on. */
export async function changeMember(
  deps: Backoffice,
  caller: Caller,
  command: ChangeMember & { id: string; expectedRevision: number },
): Promise<Outcome<Member>> {
  return perform(deps, caller, 'member.change', async ({ tx, now }) => {
    const { id, expectedRevision, role, personId, siteIds } = command;
    const wrong = await wrongMember(tx, command);
    if (wrong !== null) return wrong;
    const refusal = refusalOf(await updateMember(tx, { accountId: id, expectedRevision, role, personId, siteIds, now }));
    if (refusal !== null) return refusal;
    const row = (await selectMembers(tx)).find((member) => member.account_id === id);
    if (row === undefined) throw new Error(`member ${id} is gone`);
    return done(toMember(row));
  });
}

/**
 * Ends a membership, and open invitations to the same address with it. The account and what it did stay; its tokens belong
 * to the operator and are revoked on their own.
 */
export async function removeMember(
  deps: Backoffice,
  caller: Caller,
  command: { id: string; expectedRevision: number },
): Promise<Outcome<undefined>> {
  return perform<undefined>(deps, caller, 'member.remove', async ({ tx, now }) => {
    const { id, expectedRevision } = command;
    const result = await updateMember(tx, { accountId: id, expectedRevision, role: null, personId: null, siteIds: [], now });
    return refusalOf(result) ?? done(undefined);
  });
}

function refusalOf(result: Awaited<ReturnType<typeof updateMember>>): Outcome<never> | null {
  switch (result) {
    case 'done':
      return null;
    case 'unknown':
      return refused('not-found');
    case 'stale':
      return refused('changed-meanwhile');
    case 'last-owner':
      return refused('last-owner');
  }
}
