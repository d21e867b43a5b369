import type { AddCounts, Collection } from '#contracts/collection';
import { refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { lockCollections, markCounted, selectCollection } from './collection.sql';
import { collectionConstraints, resolveEntries } from './create';
import { recordEntries } from './record-collections';
import { readBack } from './to-collection';

/** Enters the counts of an open collection, all at once. It then waits for acceptance. */
export async function addCounts(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & AddCounts): Promise<Outcome<Collection>> {
  const { collectionId } = command;
  return perform(
    deps,
    caller,
    'collection.count',
    async ({ tx, now, refusal }) => {
      const [locked] = await lockCollections(tx, [collectionId]);
      const row = locked === undefined ? null : await selectCollection(tx, collectionId);
      if (row === null) return refused('not-found');
      const refusedHere = refusal({ state: row.state, siteId: row.site_id });
      if (refusedHere !== null) return refusedHere;
      const entries = await resolveEntries(tx, command, {
        collectionId,
        site: { id: row.site_id, code: row.site_code, currency: row.currency },
        localDate: row.local_date,
        accountingDate: row.accounting_date,
        now,
        newId: deps.newId,
      });
      if (!entries.ok) return entries;
      await recordEntries(tx, { ...entries.value, now });
      await markCounted(tx, collectionId);
      return readBack(tx, collectionId);
    },
    { constraints: collectionConstraints },
  );
}
