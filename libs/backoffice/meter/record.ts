import type { ReadingsRecorded, RecordReadings } from '#contracts/meter';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform, type PerformOptions } from '../perform';
import { fieldFailure, unknownReference } from '../refusal';
import { checkReadings } from './check-readings';
import { insertUnitValues, lockMachines, selectMeters, type MeterRow } from './meter.sql';
import { insertReadings, selectCollectionOf } from './reading.sql';
import { isFittedAt } from './to-board';

const readTwice = fieldFailure('already-exists', { path: ['readings'], code: 'read-twice', message: 'There is a reading of one of these meters at this moment already: a wrong one is corrected.' });

export const readingConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  meter_reading_pkey: fieldFailure('already-exists', { path: ['readings'], code: 'taken', message: 'One of these ids belongs to another reading.' }),
  meter_reading_once: readTwice,
  meter_reading_person: unknownReference(['readBy'], 'person'),
};

/**
 * Records what the meters of a machine showed at one moment, in whatever order moments arrive. Every meter is read but at a
 * collection, where one that cannot be read makes a longer interval.
 */
export async function recordReadings(deps: Backoffice, caller: Caller, command: { readonly machineId: string } & RecordReadings): Promise<Outcome<ReadingsRecorded>> {
  const { machineId, occasion, readBy = null, newUnitValues } = command;
  return perform(
    deps,
    caller,
    'meter-reading.record',
    async ({ tx, now }) => {
      if (!(await lockMachines(tx, [machineId])).has(machineId)) return refused('not-found');
      const moment = await momentOfReading(tx, command, now);
      if (!moment.ok) return moment;
      const at = moment.value;
      const meters = await selectMeters(tx, [machineId]);
      const wrong = wrongUnitValues(command, { meters, at });
      const readings = await checkReadings(
        tx,
        command.readings.map((reading, index) => ({ ...reading, path: ['readings', index] })),
        { meters, at, occasion, allAt: occasion === 'collection' ? null : ['readings'], newId: deps.newId },
      );
      const wrongReadings = readings.flatMap((reading) => ('path' in reading ? [reading] : []));
      if (wrong.length + wrongReadings.length > 0) return refusedFields('invalid-command', [...wrong, ...wrongReadings]);
      const made = readings.flatMap((reading) => ('path' in reading ? [] : [reading]));
      await insertReadings(tx, made, { occasion, collectionId: command.collectionId ?? null, at, readBy, now });
      if (newUnitValues.length > 0) {
        await insertUnitValues(tx, newUnitValues.map(({ meterId, unitValue }) => ({ meterId, minor: toAmount(unitValue).minor })), { at, now });
      }
      return done({ recorded: made.length });
    },
    { constraints: { ...readingConstraints, meter_value_pkey: fieldFailure('already-exists', { path: ['newUnitValues'], code: 'taken', message: 'The price changed at this moment already.' }) } },
  );
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
  if (collection.state === 'accepted') return refused('wrong-state', { detail: 'The collection is accepted: a reading of it is corrected, and none is added.' });
  return done(collection.happened_at);
}

function wrongUnitValues({ occasion, newUnitValues }: RecordReadings, { meters, at }: { readonly meters: readonly MeterRow[]; readonly at: Date }): WrongField[] {
  if (occasion !== 'price-change') {
    return newUnitValues.length === 0 ? [] : [{ path: ['newUnitValues'], code: 'not-for-occasion', message: 'What a unit is worth changes at a price change.' }];
  }
  if (newUnitValues.length === 0) return [{ path: ['newUnitValues'], code: 'missing', message: 'Say what a unit is worth from now on.' }];
  return newUnitValues.flatMap(({ meterId, unitValue }, index): WrongField[] => {
    const meter = meters.find(({ id }) => id === meterId);
    const path = ['newUnitValues', index];
    if (meter === undefined || !isFittedAt(meter, at)) return [{ path: [...path, 'meterId'], code: 'unknown', message: 'The machine had no meter with this id at this moment.' }];
    if (newUnitValues.findIndex((other) => other.meterId === meterId) < index) return [{ path: [...path, 'meterId'], code: 'taken', message: 'This meter is listed already.' }];
    if (unitValue.currency !== meter.currency) return [{ path: [...path, 'unitValue', 'currency'], code: 'other-currency', message: `The board counts ${meter.currency}.` }];
    return toAmount(unitValue).minor > 0n ? [] : [{ path: [...path, 'unitValue', 'amount'], code: 'not-positive', message: 'must be above zero' }];
  });
}
