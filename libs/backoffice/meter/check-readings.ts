import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { ReadingPhase } from '#domain/meters/meter';
import type { MeterRow } from './meter.sql';
import { selectReadAt, type NewReading, type Occasion } from './reading.sql';
import { isFittedAt } from './to-board';

/** A meter as it was read; `path` leads to it in the request. `valueAfter`: after the board was open. */
export type EnteredReading = {
  readonly id?: string | undefined;
  readonly meterId: string;
  readonly value: string;
  readonly valueAfter?: string | undefined;
  readonly readAgain: boolean;
  readonly path: readonly (string | number)[];
};

export type ReadingContext = {
  readonly meters: readonly MeterRow[];
  readonly at: Date;
  readonly occasion: Occasion;
  /** Where a missing meter is said; every meter is compulsory then. Null where some may be left out, as one that shows nothing. */
  readonly allAt: readonly (string | number)[] | null;
  readonly newId: () => string;
};

/** A reading that may be written, with the place in the request where it was entered. */
export type CheckedReading = NewReading & { readonly path: readonly (string | number)[] };

/**
 * Readings of one moment, or what is wrong with their form. Whether a value can be after those before it is no part of it,
 * see `writeReadings`.
 */
export async function checkReadings(tx: TenantTransaction, entries: readonly EnteredReading[], context: ReadingContext): Promise<{ readings: CheckedReading[]; wrong: WrongField[] }> {
  const { meters, at, newId } = context;
  const byId = new Map(meters.map((meter) => [meter.id, meter]));
  const meterIds = entries.flatMap(({ meterId }) => (byId.has(meterId) ? [meterId] : []));
  const readAt = await selectReadAt(tx, { meterIds, at });
  const wrong: WrongField[] = missingMeters(entries, context);
  const readings = entries.flatMap((entry, index): CheckedReading[] => {
    const meter = byId.get(entry.meterId);
    const twice = entries.findIndex(({ meterId }) => meterId === entry.meterId) < index || readAt.has(entry.meterId);
    const wrongHere = meter === undefined ? [unknownMeter(entry)] : wrongReading(entry, { meter, twice, context });
    if (meter === undefined || wrongHere.length > 0) {
      wrong.push(...wrongHere);
      return [];
    }
    return phasesOf(entry).map(({ phase, value }) => ({
      id: phase === 'after' ? newId() : (entry.id ?? newId()),
      meterId: meter.id,
      machineId: meter.machine_id,
      capacity: meter.capacity,
      phase,
      value: BigInt(value),
      readAgain: entry.readAgain,
      path: entry.path,
    }));
  });
  return { readings, wrong };
}

function phasesOf({ value, valueAfter }: EnteredReading): { readonly phase: ReadingPhase; readonly value: string }[] {
  if (valueAfter === undefined) return [{ phase: 'only', value }];
  return [{ phase: 'before', value }, { phase: 'after', value: valueAfter }];
}

function unknownMeter({ path }: EnteredReading): WrongField {
  return { path: [...path, 'meterId'], code: 'unknown', message: 'The machine has no meter with this id.' };
}

function wrongReading(entry: EnteredReading, { meter, twice, context }: { readonly meter: MeterRow; readonly twice: boolean; readonly context: ReadingContext }): WrongField[] {
  const { path, value, valueAfter } = entry;
  const { at, occasion } = context;
  const wrong: WrongField[] = [];
  // A board that comes out is read at the moment at which it is no longer in the machine.
  const fitted = isFittedAt(meter, at) || (occasion === 'board-removed' && meter.removed_at?.getTime() === at.getTime());
  if (!fitted) wrong.push({ path: [...path, 'meterId'], code: 'not-in-machine', message: `Board ${meter.board_label} was not in the machine at this moment.` });
  if (twice) wrong.push({ path: [...path, 'meterId'], code: 'read-twice', message: 'There is a reading of this meter at this moment already: a wrong one is corrected.' });
  const shown = [{ field: 'value', digits: value }, ...(valueAfter === undefined ? [] : [{ field: 'valueAfter', digits: valueAfter }])];
  for (const { field, digits } of shown) {
    if (BigInt(digits) >= meter.capacity) wrong.push({ path: [...path, field], code: 'too-many-digits', message: tooLarge(meter) });
  }
  if (occasion === 'board-access' && valueAfter === undefined) {
    wrong.push({ path: [...path, 'valueAfter'], code: 'after-reading-missing', message: 'The board was open: say what the meter showed before and after.' });
  }
  if (occasion !== 'board-access' && valueAfter !== undefined) wrong.push({ path: [...path, 'valueAfter'], code: 'not-for-occasion', message: 'Two values belong to a board that was open.' });
  return wrong;
}

export function tooLarge({ digits }: Pick<MeterRow, 'digits'>): string {
  return digits === null ? 'The meter ends at 4294967295.' : `The meter has ${String(digits)} digits.`;
}

/** On every other occasion but a collection the interval ends here for each meter, so that none may be missing. */
function missingMeters(entries: readonly EnteredReading[], { meters, at, occasion, allAt }: ReadingContext): WrongField[] {
  if (allAt === null) return [];
  const needed = meters.filter((meter) => (occasion === 'board-removed' ? meter.removed_at?.getTime() === at.getTime() : isFittedAt(meter, at)));
  const missing = needed.filter(({ id }) => !entries.some(({ meterId }) => meterId === id));
  return missing.map(({ label }) => ({ path: allAt, code: 'reading-missing', message: `Meter ${label} was not read. On this occasion every meter is.` }));
}
