import type { AcceptCollectionsCommand, AcceptedCollections, Collection } from '#contracts/collection';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { acceptCollections } from './accept-collections';
import { lockCollections } from './collection.sql';
import { readBackFor } from './to-collection';

/** Takes a counted collection into the books. From here on it does not change; what was wrong is corrected beside it. */
export async function acceptCollection(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<Collection>> {
  return perform(deps, caller, 'collection.accept', async (unit) => {
    const accepted = await acceptAll(deps, unit, [command.id]);
    return accepted.ok ? readBackFor(unit, caller, command.id) : accepted;
  });
}

/** Takes several counted collections into the books, all or none. */
export async function acceptSeveral(deps: Backoffice, caller: Caller, command: AcceptCollectionsCommand): Promise<Outcome<AcceptedCollections>> {
  return perform(deps, caller, 'collection.accept', async (unit) => {
    const accepted = await acceptAll(deps, unit, command.collectionIds);
    return accepted.ok ? done({ accepted: command.collectionIds.length }) : accepted;
  });
}

async function acceptAll(deps: Backoffice, { tx, now, refusal }: Unit, collectionIds: readonly string[]): Promise<Outcome<null>> {
  const locked = await lockCollections(tx, collectionIds);
  if (locked.length !== collectionIds.length) return refused('not-found');
  for (const { state, site_id: siteId } of locked) {
    const refusedHere = refusal({ state, siteId });
    if (refusedHere !== null) return refusedHere;
  }
  return acceptCollections(tx, { collectionIds, now, newId: deps.newId });
}
