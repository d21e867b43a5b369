import type { Outcome, WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { fitsNeighbours } from '#domain/meters/intervals';
import type { Unit } from '../perform';
import type { CheckedReading } from './check-readings';
import type { MeterRow } from './meter.sql';
import { insertTries, selectTried, type ReadingTry } from './reading-try.sql';
import { insertReadings, selectNeighbours, type Occasion, type StandingReadingRow } from './reading.sql';
import { groupBy, toMeter, toReading } from './to-board';

type Writing = { readonly meters: readonly MeterRow[]; readonly occasion: Occasion; readonly collectionId: string | null; readonly at: Date; readonly readBy: string | null; readonly now: Date };

/**
 * Writes readings of one moment, and only then asks whether each can be after those before it: with everything else in
 * order, so that nobody learns by a request that fails anyway what a meter showed. One that cannot be is sent back to be
 * read again, once; what is entered after that is taken, marked, and for somebody else to look at. What is sent back is
 * added to `tries`, for {@link recordingTries}; null where nobody can be asked any more.
 */
export async function writeReadings(tx: TenantTransaction, entered: readonly CheckedReading[], writing: Writing & { readonly tries: ReadingTry[] | null }): Promise<WrongField[]> {
  if (entered.length === 0) return [];
  const { meters, at, tries } = writing;
  const meterIds = [...new Set(entered.map(({ meterId }) => meterId))];
  const tried = await selectTried(tx, meterIds);
  const readings = entered.map((reading) => ({ ...reading, readAgain: reading.readAgain || tried.has(reading.meterId) }));
  await insertReadings(tx, readings, writing);
  if (tries === null) return [];
  const doubtful = await selectDoubtful(tx, readings, { meters, at });
  tries.push(...doubtful.map(({ meterId, machineId, value }) => ({ meterId, machineId, at, value })));
  return doubtful.map(({ path }) => ({ path: [...path, 'value'], code: 'read-again', message: 'Read that meter again.' }));
}

/** Of readings that are written, of each meter the first one where they cannot be between those around them. Whoever looked again is believed. */
export async function selectDoubtful(tx: TenantTransaction, readings: readonly CheckedReading[], { meters, at }: { readonly meters: readonly MeterRow[]; readonly at: Date }): Promise<CheckedReading[]> {
  const byMeter = groupBy(readings, ({ meterId }) => meterId);
  const neighbours = groupBy(await selectNeighbours(tx, { meterIds: [...byMeter.keys()], at }), ({ meter_id: meterId }) => meterId);
  const byId = new Map(meters.map((meter) => [meter.id, meter]));
  return [...byMeter].flatMap(([meterId, made]) => {
    const meter = byId.get(meterId);
    return meter === undefined || made[0].readAgain || fits(made, { meter, at, neighbours: neighbours.get(meterId) ?? [] }) ? [] : [made[0]];
  });
}

function fits(made: readonly CheckedReading[], { meter, at, neighbours }: { readonly meter: MeterRow; readonly at: Date; readonly neighbours: readonly StandingReadingRow[] }): boolean {
  const readings = made.map((reading) => ({ id: reading.id, atMs: at.getTime(), phase: reading.phase, value: reading.value, confirmed: false, passedEnd: false, collectionId: null, placementId: null }));
  const others = neighbours.map((row) => toReading(row, []));
  return readings.every((reading) => fitsNeighbours(toMeter(meter), { reading, others: [...others, ...readings.filter(({ id }) => id !== reading.id)] }));
}

class Undone<Value> extends Error {
  constructor(readonly outcome: Outcome<Value>) {
    super('what was written is undone');
  }
}

/**
 * Runs work that writes readings. When it sends some back, everything it wrote is undone, and the record that they were
 * sent back stays. The caller holds the machines before, so that of two tries at once the second one finds the first.
 */
export async function recordingTries<Value>(unit: Unit, newId: () => string, work: (tries: ReadingTry[]) => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  const { tx, now } = unit;
  const tries: ReadingTry[] = [];
  try {
    return await tx.underSavepoint(async () => {
      const outcome = await work(tries);
      if (!outcome.ok) throw new Undone(outcome);
      return outcome;
    });
  } catch (error) {
    if (!(error instanceof Undone)) throw error;
    if (tries.length > 0) {
      await insertTries(tx, tries, { now, newId });
      unit.keepWhenRefused();
    }
    return (error as Undone<Value>).outcome;
  }
}
