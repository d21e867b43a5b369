import type { AddCounts, Collection } from '#contracts/collection';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { insertNotRead } from '../meter/not-read.sql';
import { recordingTries, writeReadings } from '../meter/write-readings';
import { perform } from '../perform';
import { fieldFailure } from '../refusal';
import { lockCollections, markCounted, selectCollection } from './collection.sql';
import { collectionConstraints } from './create';
import { recordEntries } from './record-collections';
import { resolveEntries } from './resolve-entries';
import { writeTakenOut } from './taken-out';
import { readBack, withoutMetered } from './to-collection';

const countedBefore = fieldFailure('already-exists', { path: ['counts'], code: 'counted-twice', message: 'One of these boxes, or parts of one, has its count already: correct that one, or number another part.' });

/**
 * Enters the counts of an open collection. It then waits for acceptance. Where its boxes were bagged the counts are what the
 * bags held, and what the receipts say was taken out before comes on top. While it waits, the office adds boxes and parts
 * of which nothing was entered yet: a bag may arrive after the others, and one that never arrives is counted as 0.00. What the
 * meters imply is no part of it, and is asked for before acceptance.
 */
export async function addCounts(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & AddCounts): Promise<Outcome<Collection>> {
  const { collectionId } = command;
  return perform(
    deps,
    caller,
    'collection.count',
    async (unit) => {
      const { tx, now, refusal } = unit;
      const [locked] = await lockCollections(tx, [collectionId]);
      const row = locked === undefined ? null : await selectCollection(tx, collectionId);
      if (row === null) return refused('not-found');
      const refusedHere = refusal({ state: row.state, siteId: row.site_id });
      if (refusedHere !== null) return refusedHere;
      const entries = await resolveEntries(tx, command, {
        collectionId,
        site: { id: row.site_id, code: row.site_code, currency: row.currency },
        happenedAt: row.happened_at,
        localDate: row.local_date,
        accountingDate: row.accounting_date,
        now,
        inRoom: true,
        bagged: row.bagged,
        newId: deps.newId,
      });
      if (!entries.ok) return entries;
      const { readings, notRead, meters } = entries.value;
      return recordingTries(unit, deps.newId, async (tries) => {
        await recordEntries(tx, { ...entries.value, now });
        if (row.bagged) await writeTakenOut(tx, { collectionId, now, newId: deps.newId, reason: 'Shared anew: another box of the visit was counted.' });
        if (row.state === 'open') await markCounted(tx, collectionId);
        await insertNotRead(tx, notRead, { occasion: 'collection', collectionId, at: row.happened_at, now });
        const doubtful = await writeReadings(tx, readings, { meters, occasion: 'collection', collectionId, at: row.happened_at, readBy: row.collected_by, now, tries });
        if (doubtful.length > 0) return refusedFields('invalid-command', doubtful);
        const collection = await readBack(tx, collectionId);
        // Who counted is not shown what meters imply before the count is accepted, also where that came with the bags.
        return collection.ok ? done(withoutMetered(collection.value)) : collection;
      });
    },
    { constraints: { ...collectionConstraints, box_count_part_once: countedBefore } },
  );
}
