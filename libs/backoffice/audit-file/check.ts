import { done, refused, type Outcome } from '#contracts/outcome';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import type { Figures } from '#domain/audit-data/sums';
import { metersFrom, type FedReading, type UnfedMeter } from '#domain/audit-data/to-meters';
import { unitValueAt } from '#domain/meters/meter';
import type { MeterRow } from '../meter/meter.sql';
import { selectCollectionOf } from '../meter/reading.sql';
import { refusedReadings } from '../meter/record';
import { isFittedAt, toMeter } from '../meter/to-board';
import { selectTwin } from './audit-file.sql';
import { besideOthers } from './sequence';
import { unfedWords } from './words';

/** A place in the file, or in the request where the query is meant. */
export type WrongElement = { readonly element: string; readonly code: string; readonly message: string };

/** Refuses a file by its elements. */
export function refusedElements(wrong: readonly WrongElement[]): Outcome<never> {
  return refused('file-not-readable', {
    detail: wrong.map(({ element, message }) => `${element}: ${message}`).join(' '),
    errors: wrong.map(({ element, code, message }) => ({ in: 'body', pointer: element, code, message })),
  });
}

/** Refuses by what the request says beside the file. */
export function refusedQuery(pointer: 'collectionId' | 'machineId', code: string, message: string): Outcome<never> {
  return refused('invalid-command', { errors: [{ in: 'query', pointer, code, message }] });
}

/** The moment at which the meters of a machine were read out, while readings may still be added there. */
export async function momentOfReadOut(tx: TenantTransaction, of: { readonly collectionId: string; readonly machineId: string }): Promise<Outcome<{ readonly at: Date; readonly siteId: string }>> {
  const collection = await selectCollectionOf(tx, of);
  if (collection === null) return refusedQuery('collectionId', 'unknown', 'There is no collection with this id.');
  if (!collection.stands_here) return refusedQuery('collectionId', 'not-placed-here', 'The machine did not stand at the site of this collection on that day.');
  return refusedReadings(collection) ?? done({ at: collection.happened_at, siteId: collection.site_id });
}

type Fed = { readonly readings: readonly FedReading[]; readonly unfed: readonly UnfedMeter[] };

/** What the meters show that are in a machine at a moment. Figures are in minor units. */
export function fed(figures: Figures, { meters, at }: { readonly meters: readonly MeterRow[]; readonly at: Date }): Fed {
  const board = meters.filter((meter) => isFittedAt(meter, at)).map((row) => ({ id: row.id, tender: row.tender, secondOf: row.second_of, capacity: row.capacity, unitMinor: unitValueAt(toMeter(row), at.getTime()) }));
  return metersFrom(figures, board);
}

/**
 * Whether the figures of a file can be of this machine at this moment, meter by meter and, with `isTold`, beside the
 * files before and after. Those are for nobody who counts: whoever is told which figures cannot follow on one finds it in a
 * few tries, and for them it is held beside the others when the collection is accepted.
 */
export async function checkFigures(tx: TenantTransaction, file: { readonly machineId: string; readonly sha256: Buffer; readonly figures: Figures; readonly at: Date; readonly fed: Fed; readonly isTold: boolean }): Promise<Outcome<null>> {
  const twin = await selectTwin(tx, file);
  if (twin !== null) return refused('file-accepted-before', { detail: `Accepted at ${formatInstant(twin)}.` });
  const { readings, unfed } = file.fed;
  const wrong = unfed.flatMap(({ code, element }): WrongElement[] => (code === 'not-told' ? [] : [{ element: element ?? 'CA3', code, message: unfedWords[code] }]));
  if (wrong.length > 0) return refusedElements(wrong);
  if (readings.length === 0) return refusedElements([{ element: 'CA3', code: 'nothing-told', message: 'The file tells nothing that a meter of this machine shows.' }]);
  if (!file.isTold) return done(null);
  const misfits = (await besideOthers(tx, [file])).flat();
  return misfits.length === 0 ? done(null) : refusedElements(misfits);
}
