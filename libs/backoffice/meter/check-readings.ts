import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { ReadingPhase } from '#domain/meters/meter';
import type { MeterRow } from './meter.sql';
import { isReadTwice, selectReadAt, type NewReading, type Occasion, type ReadAt } from './reading.sql';
import { isFittedAt } from './to-board';

/** A meter as it was read; `path` leads to it in the request. `valueAfter`: after the board was open or the game was changed. */
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
  /** Meters of which it is said why they were not read. */
  readonly excused?: readonly string[];
  readonly newId: () => string;
};

/** A reading that may be written, with the place in the request where it was entered. */
export type CheckedReading = NewReading & { readonly path: readonly (string | number)[] };

/**
 * Readings of one moment, or what is wrong with their form. Whether a value can be after those before it is no part of it,
 * see `writeReadings`. Where a board comes out at the very moment of a collection, what was read for that is its last reading,
 * and not written again.
 */
export async function checkReadings(tx: TenantTransaction, entries: readonly EnteredReading[], context: ReadingContext): Promise<{ readings: CheckedReading[]; wrong: WrongField[] }> {
  const { meters, at, newId, allAt } = context;
  if (entries.length === 0 && allAt === null) return { readings: [], wrong: [] };
  const byId = new Map(meters.map((meter) => [meter.id, meter]));
  const readAt = await selectReadAt(tx, { meterIds: [...byId.keys()], at });
  const serves = new Map([...readAt].filter(([, { occasion, value }]) => context.occasion === 'board-removed' && occasion === 'collection' && value !== null));
  const wrong: WrongField[] = missingMeters(entries, context).filter(({ meterId }) => !serves.has(meterId) && !isReadAlready(readAt.get(meterId), context)).map(({ field }) => field);
  const readings = entries.flatMap((entry, index): CheckedReading[] => {
    const meter = byId.get(entry.meterId);
    const twice = entries.findIndex(({ meterId }) => meterId === entry.meterId) < index;
    const served = twice ? undefined : serves.get(entry.meterId);
    if (served !== undefined) {
      if (BigInt(entry.value) !== served.value) wrong.push({ path: [...entry.path, 'value'], code: 'read-otherwise', message: 'It was read at the collection of this very moment, and not so. Correct that reading first, or give the change of the board a later minute.' });
      return [];
    }
    const before = readAt.get(entry.meterId);
    const wrongHere = meter === undefined ? [unknownMeter(entry)] : wrongReading(entry, { meter, twice, before, context });
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

/** Whether a reading of this very moment says what the occasion asks. The last one of a board is its own. */
function isReadAlready(before: ReadAt | undefined, { occasion }: ReadingContext): boolean {
  return before !== undefined && before.value !== null && occasion !== 'board-removed' && isReadTwice(before.occasion) === isReadTwice(occasion);
}

function phasesOf({ value, valueAfter }: EnteredReading): { readonly phase: ReadingPhase; readonly value: string }[] {
  if (valueAfter === undefined) return [{ phase: 'only', value }];
  return [{ phase: 'before', value }, { phase: 'after', value: valueAfter }];
}

function unknownMeter({ path }: EnteredReading): WrongField {
  return { path: [...path, 'meterId'], code: 'unknown', message: 'The machine has no meter with this id.' };
}

function wrongReading(entry: EnteredReading, { meter, twice, before, context }: { readonly meter: MeterRow; readonly twice: boolean; readonly before: ReadAt | undefined; readonly context: ReadingContext }): WrongField[] {
  const { path, value, valueAfter } = entry;
  const { at, occasion } = context;
  const wrong: WrongField[] = [];
  // A board that comes out is read at the moment at which it is no longer in the machine, be it for the collection of that moment.
  const fitted = isFittedAt(meter, at) || ((occasion === 'board-removed' || occasion === 'collection') && meter.removed_at?.getTime() === at.getTime());
  if (!fitted) wrong.push({ path: [...path, 'meterId'], code: 'not-in-machine', message: `Board ${meter.board_label} was not in the machine at this moment.` });
  if (twice || before !== undefined) wrong.push({ path: [...path, 'meterId'], code: 'read-twice', message: before === undefined ? readTwice : readBefore(before) });
  const shown = [{ field: 'value', digits: value }, ...(valueAfter === undefined ? [] : [{ field: 'valueAfter', digits: valueAfter }])];
  for (const { field, digits } of shown) {
    if (BigInt(digits) >= meter.capacity) wrong.push({ path: [...path, field], code: 'too-many-digits', message: tooLarge(meter) });
  }
  if (isReadTwice(occasion) && valueAfter === undefined) {
    wrong.push({ path: [...path, 'valueAfter'], code: 'after-reading-missing', message: occasion === 'game-change' ? 'The game was changed: say what the meter showed before and after.' : 'The board was open: say what the meter showed before and after.' });
  }
  if (!isReadTwice(occasion) && valueAfter !== undefined) wrong.push({ path: [...path, 'valueAfter'], code: 'not-for-occasion', message: 'Two values belong to a board that was open, or to a change of the game.' });
  return wrong;
}

const readTwice = 'There is a reading of this meter at this moment already: a wrong one is corrected.';

/** What to do about a reading that is there already; a change of the board at a visit is the usual one, and it has its own minute. */
function readBefore({ occasion }: ReadAt): string {
  if (occasion === 'board-fitted') return 'The board was fitted at this very moment, and the meter read with that. Give the visit a later minute, or leave this meter out: it has counted nothing yet.';
  if (occasion === 'board-removed') return 'The board came out at this very moment, and the meter was read with that. Give the visit an earlier minute.';
  return readTwice;
}

export function tooLarge({ digits }: Pick<MeterRow, 'digits'>): string {
  return digits === null ? 'The meter ends at 4294967295.' : `The meter has ${String(digits)} digits.`;
}

/** On every other occasion but a collection the interval ends here for each meter, so that none may be missing without a reason. */
function missingMeters(entries: readonly EnteredReading[], { meters, at, occasion, allAt, excused = [] }: ReadingContext): { readonly meterId: string; readonly field: WrongField }[] {
  if (allAt === null) return [];
  const needed = meters.filter((meter) => (occasion === 'board-removed' ? meter.removed_at?.getTime() === at.getTime() : isFittedAt(meter, at)));
  const missing = needed.filter(({ id }) => !excused.includes(id) && !entries.some(({ meterId }) => meterId === id));
  return missing.map(({ id, label }) => ({ meterId: id, field: { path: allAt, code: 'reading-missing', message: `Meter ${label} was not read. On this occasion every meter is.` } }));
}
