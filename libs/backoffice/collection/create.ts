import type { Collection, CreateCollection } from '#contracts/collection';
import { refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { can } from '#domain/permissions/can';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type PerformOptions } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { insertKeyHolder } from '../collection-key/name.sql';
import { lockMachinesOfMeters } from '../meter/meter.sql';
import { insertNotRead } from '../meter/not-read.sql';
import { readingConstraints } from '../meter/reading-constraints';
import type { ReadingTry } from '../meter/reading-try.sql';
import { recordingTries, writeReadings } from '../meter/write-readings';
import { checkVisit } from './check-visit';
import { isVisitKnown, selectVisitedSite } from './directory.sql';
import { recordCollections } from './record-collections';
import { resolveEntries } from './resolve-entries';
import { writeTakenOut } from './taken-out';
import { readBack } from './to-collection';

export const collectionConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  ...readingConstraints(['counts']),
  collection_pkey: taken(['id'], 'a collection with this id'),
  collection_visit_once: taken(['happenedAt'], 'a collection of this site at this moment'),
  collection_tenant_id_collected_by_fkey: unknownReference(['collectedBy'], 'person'),
  collection_key_holder_person: unknownReference(['keyHolderId'], 'person'),
  box_count_pkey: fieldFailure('already-exists', { path: ['counts'], code: 'taken', message: 'One of these ids belongs to another count.' }),
  refund_slip_pkey: fieldFailure('already-exists', { path: ['refunds'], code: 'taken', message: 'One of these ids belongs to another slip.' }),
  cash_handed_pkey: fieldFailure('already-exists', { path: ['cashHanded'], code: 'taken', message: 'One of these ids belongs to another hand-out.' }),
};

/**
 * Records a visit to a site, with its counts or open for them. Nothing of it is in the books before it is accepted.
 * Whoever may accept collections may book them to another day.
 */
export async function createCollection(deps: Backoffice, caller: Caller, command: CreateCollection): Promise<Outcome<Collection>> {
  return perform(
    deps,
    caller,
    'collection.create',
    async (unit) => {
      const { tx, now } = unit;
      await lockMachinesOfMeters(tx, command.counts.flatMap(({ readings }) => readings.map(({ meterId }) => meterId)));
      return recordingTries(unit, deps.newId, async (tries) => {
        const made = await recordVisit(tx, command, { caller, now, tries, newId: deps.newId });
        return made.ok ? readBack(tx, made.value.id) : made;
      });
    },
    { constraints: collectionConstraints },
  );
}

/**
 * Checks and writes a visit, and says its id and moment. Without `tries` nobody can be asked to read a meter again, and what
 * it showed is taken.
 */
export async function recordVisit(
  tx: TenantTransaction,
  command: CreateCollection,
  by: { readonly caller: Caller; readonly now: Date; readonly newId: () => string; readonly tries: ReadingTry[] | null; readonly countedAt?: Date; readonly countedAtMachine?: boolean },
): Promise<Outcome<{ readonly id: string; readonly happenedAt: Date; readonly localDate: LocalDate }>> {
  const { now, newId, tries, countedAt, countedAtMachine = false } = by;
  const site = await selectVisitedSite(tx, command.siteId);
  if (site === null) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
  const happenedAt = new Date(command.happenedAt);
  const days = checkVisit({ happenedAt, accountingDate: command.accountingDate, accountingReason: command.accountingReason }, { site, now });
  if ('length' in days) return refusedFields('invalid-command', days);
  if (days.accountingDate !== days.localDate && !can(by.caller, 'collection.accept')) {
    return refused('not-allowed', { detail: 'Only who may accept collections books one to another day than that of the visit.' });
  }
  if (await isVisitKnown(tx, { siteId: site.id, happenedAt })) {
    return refusedFields('already-exists', [{ path: ['happenedAt'], code: 'taken', message: 'There is a collection of this site at this moment already.' }]);
  }
  const id = command.id ?? newId();
  const { bagged = false } = command;
  const entries = await resolveEntries(tx, command, { collectionId: id, site, happenedAt, ...days, now, countedAt, bagged, newId });
  if (!entries.ok) return entries;
  const state = command.counts.length === 0 ? 'open' : 'counted';
  const collection = { id, siteId: site.id, currency: site.currency, happenedAt, ...days, state, collectedBy: command.collectedBy, importFileId: null, bagged } as const;
  const counts = entries.value.counts.map((count) => ({ ...count, atMachine: countedAtMachine }));
  await recordCollections(tx, { ...entries.value, counts, now, collections: [collection] });
  if (bagged) await writeTakenOut(tx, { collectionId: id, now, newId, reason: null });
  const { keyHolderId = null, boxesExchanged = false } = command;
  if (keyHolderId !== null || boxesExchanged) await insertKeyHolder(tx, { id: newId(), collectionId: id, personId: keyHolderId, boxesExchanged, reason: null, now });
  const { readings, notRead, meters } = entries.value;
  await insertNotRead(tx, notRead, { occasion: 'collection', collectionId: id, at: happenedAt, now });
  const doubtful = await writeReadings(tx, readings, { meters, occasion: 'collection', collectionId: id, at: happenedAt, readBy: command.collectedBy, now, tries });
  if (doubtful.length > 0) return refusedFields('invalid-command', doubtful);
  return { ok: true, value: { id, happenedAt, localDate: days.localDate } };
}
