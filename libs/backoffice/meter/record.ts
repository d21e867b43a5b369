import type { ReadingsRecorded, RecordReadings } from '#contracts/meter';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { can } from '#domain/permissions/can';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { fieldFailure, otherCurrency } from '../refusal';
import { followingMeters } from '../variance/follow-meters';
import { checkMeters } from './check-meters';
import { isMachine, lockMachines, selectMeters, type MeterRow } from './meter.sql';
import { insertNotRead } from './not-read.sql';
import { enterPrices } from './price';
import { readingConstraints } from './reading-constraints';
import { selectCollectionOf, type CollectionOfReading } from './reading.sql';
import { isFittedAt } from './to-board';
import { recordingTries, writeReadings } from './write-readings';

/**
 * Records what the meters of a machine showed at one moment, in whatever order moments arrive. Every meter is read but at a
 * collection, where one that cannot be read makes a longer interval. A price changes whether or not somebody reads them: where the
 * office says so it stands alone, and the readings are to be entered.
 */
export async function recordReadings(deps: Backoffice, caller: Caller, command: { readonly machineId: string } & RecordReadings): Promise<Outcome<ReadingsRecorded>> {
  const { machineId, occasion, readBy = null, newUnitValues } = command;
  const isPriceAlone = occasion === 'price-change' && command.readings.length + command.unread.length === 0;
  return perform(
    deps,
    caller,
    'meter-reading.record',
    async (unit) => {
      const { tx, now } = unit;
      if (changesUnread(command) && !can(caller, 'meter-price.change-unread')) {
        return refused('not-allowed', { detail: 'Who changes a price reads the meter then. Where nobody read it, the office records the change.' });
      }
      if (!(await isMachine(tx, machineId))) return refused('not-found');
      const moment = await momentOfReading(tx, command, now);
      if (!moment.ok) return moment;
      const at = moment.value;
      await lockMachines(tx, [machineId]);
      const meters = await selectMeters(tx, [machineId]);
      const unread = command.unread.map((meter, index) => ({ ...meter, path: ['unread', index] }));
      const entered = { readings: command.readings.map((reading, index) => ({ ...reading, path: ['readings', index] })), unread };
      const { readings, notRead, wrong } = await checkMeters(tx, entered, { meters, at, occasion, allAt: occasion === 'collection' || isPriceAlone ? null : ['readings'], newId: deps.newId });
      wrong.push(...(occasion === 'board-access' ? unread.map(({ path }) => ({ path, code: 'not-for-occasion', message: 'A board that was open is read before and after: without that, what it was set back by would be taken for plays.' })) : []));
      wrong.unshift(...wrongUnitValues(command, { meters, at }));
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      return recordingTries(unit, deps.newId, (tries) =>
        followingMeters(tx, { machineId, from: at, sourceId: readings[0]?.id, now, newId: deps.newId }, async () => {
          await enterPrices(tx, newUnitValues.map(({ meterId, unitValue }) => ({ meterId, minor: toAmount(unitValue).minor })), { machineId, at, now, newId: deps.newId });
          await insertNotRead(tx, notRead, { occasion, collectionId: command.collectionId ?? null, at, now });
          const doubtful = await writeReadings(tx, readings, { meters, occasion, collectionId: command.collectionId ?? null, at, readBy, now, tries });
          return doubtful.length > 0 ? refusedFields('invalid-command', doubtful) : done({ recorded: readings.length });
        }),
      );
    },
    { constraints: { ...readingConstraints(['readings']), meter_value_pkey: fieldFailure('already-exists', { path: ['newUnitValues'], code: 'taken', message: 'The price changed at this moment already.' }) } },
  );
}

/** Whether a price changes of a meter that this does not read. */
function changesUnread({ occasion, readings, newUnitValues }: RecordReadings): boolean {
  return occasion === 'price-change' && newUnitValues.some(({ meterId }) => !readings.some((reading) => reading.meterId === meterId));
}

/** A reading of a collection is of the moment of that, and none is added once it is in the books. */
async function momentOfReading(tx: TenantTransaction, command: { readonly machineId: string } & RecordReadings, now: Date): Promise<Outcome<Date>> {
  const { machineId, occasion, collectionId, happenedAt } = command;
  if (occasion !== 'collection') {
    if (collectionId !== undefined) return refusedFields('invalid-command', [{ path: ['collectionId'], code: 'not-for-occasion', message: 'Only a reading at a collection names one.' }]);
    return momentOf(happenedAt, { now, field: 'happenedAt' });
  }
  if (collectionId === undefined) return refusedFields('invalid-command', [{ path: ['collectionId'], code: 'missing', message: 'Say at which collection it was read.' }]);
  const collection = await selectCollectionOf(tx, { collectionId, machineId });
  if (collection === null) return refusedFields('invalid-command', [{ path: ['collectionId'], code: 'unknown', message: 'There is no collection with this id.' }]);
  if (!collection.stands_here) return refusedFields('invalid-command', [{ path: ['collectionId'], code: 'not-placed-here', message: 'The machine did not stand at the site of this collection on that day.' }]);
  if (happenedAt !== undefined && new Date(happenedAt).getTime() !== collection.happened_at.getTime()) {
    return refusedFields('invalid-command', [{ path: ['happenedAt'], code: 'not-of-collection', message: 'A reading at a collection is of the moment of the collection.' }]);
  }
  return refusedReadings(collection) ?? done(collection.happened_at);
}

/** Why a collection takes no readings any more; null where it does. */
export function refusedReadings({ state }: CollectionOfReading): Outcome<never> | null {
  if (state === 'discarded') return refused('wrong-state', { detail: 'The collection was discarded: enter the visit anew, and its readings with it.' });
  return state === 'accepted' ? refused('wrong-state', { detail: 'The collection is accepted: a reading of it is corrected, and none is added.' }) : null;
}

function wrongUnitValues({ occasion, newUnitValues }: RecordReadings, { meters, at }: { readonly meters: readonly MeterRow[]; readonly at: Date }): WrongField[] {
  if (occasion !== 'price-change') {
    return newUnitValues.length === 0 ? [] : [{ path: ['newUnitValues'], code: 'not-for-occasion', message: 'What a unit is worth changes at a price change.' }];
  }
  // The readings of a change that was recorded alone.
  const isKnown = meters.some((meter) => isFittedAt(meter, at) && meter.fitted_at < at && meter.unit_values.some(({ fromMs }) => fromMs === at.getTime()));
  if (newUnitValues.length === 0 && isKnown) return [];
  if (newUnitValues.length === 0) return [{ path: ['newUnitValues'], code: 'missing', message: 'Say what a unit is worth from now on.' }];
  return newUnitValues.flatMap(({ meterId, unitValue }, index): WrongField[] => {
    const meter = meters.find(({ id }) => id === meterId);
    const path = ['newUnitValues', index];
    if (meter === undefined || !isFittedAt(meter, at)) return [{ path: [...path, 'meterId'], code: 'unknown', message: 'The machine had no meter with this id at this moment.' }];
    if (newUnitValues.findIndex((other) => other.meterId === meterId) < index) return [{ path: [...path, 'meterId'], code: 'taken', message: 'This meter is listed already.' }];
    if (meter.unit_values.some(({ fromMs }) => fromMs === at.getTime())) return [{ path: [...path, 'meterId'], code: 'taken', message: 'The price of this meter changed at this moment already: a wrong one is corrected.' }];
    if (unitValue.currency !== meter.currency) return [otherCurrency([...path, 'unitValue', 'currency'], 'The board counts', meter.currency)];
    return toAmount(unitValue).minor > 0n ? [] : [{ path: [...path, 'unitValue', 'amount'], code: 'not-positive', message: 'must be above zero' }];
  });
}
