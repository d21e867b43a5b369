import type { FieldCountsRecorded, RecordFieldCounts } from '#contracts/field-count';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import { lockCollections, selectCollection } from '../collection/collection.sql';
import { resolveEntries } from '../collection/resolve-entries';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { fieldFailure, unknownReference } from '../refusal';
import { insertFieldCounts } from './field-count.sql';

/** What only the database can tell of counts at the machine. */
export const fieldCountConstraints = {
  field_count_pkey: fieldFailure('already-exists', { path: ['counts'], code: 'taken', message: 'One of these ids belongs to another count.' }),
  field_count_once: fieldFailure('already-exists', { path: ['counts'], code: 'counted-twice', message: 'One of these boxes was counted at the machine already.' }),
};

/**
 * Enters what was counted at the machines of an open collection. The counting room counts the same boxes afterwards; its
 * figures settle, and until they are accepted nobody is shown these.
 */
export async function recordFieldCounts(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & RecordFieldCounts): Promise<Outcome<FieldCountsRecorded>> {
  const { collectionId, countedBy, counts, scaleCheckId } = command;
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
      if (row.state !== 'open') return refused('not-allowed-in-state', { detail: `The collection is ${row.state}: the room has counted, and a count at the machine comes before it.` });
      const entries = await resolveEntries(tx, { counts, refunds: [], cashHanded: [], scaleCheckId }, {
        collectionId,
        site: { id: row.site_id, code: row.site_code, currency: row.currency },
        happenedAt: row.happened_at,
        localDate: row.local_date,
        accountingDate: row.accounting_date,
        now,
        atMachine: true,
        newId: deps.newId,
      });
      if (!entries.ok) return entries;
      await insertFieldCounts(tx, entries.value.counts, { countedBy, now });
      return done({ recorded: entries.value.counts.length });
    },
    {
      constraints: {
        ...fieldCountConstraints,
        field_count_person: unknownReference(['countedBy'], 'person'),
      },
    },
  );
}
