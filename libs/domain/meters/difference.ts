/**
 * What lies between two readings of one meter. A meter that goes down has passed its last value, was set back, or was
 * read wrong; only the first is revenue, and only where the machine could have earned it.
 *
 * "Below what the machine could earn in the time" tells a rollover from a reset only while that is less than the meter's range.
 * Where a machine could run through all of it, every fall is below, and 40000 -> 00120 would be 60,120 plays. So there no fall is
 * a rollover before somebody says that it was: a reset never becomes revenue silently. Nor does a rise there tell of all: the meter
 * may have passed every value once more. It is read as it stands, and a count that holds so much more is asked about.
 */
import type { Meter, Reading } from './meter';

const HOUR_MS = 3_600_000;

export type Difference =
  | { readonly kind: 'forward'; readonly units: bigint }
  /** The meter passed its last value once. 25 CFR 547.9(c): a rollover must not corrupt data. */
  | { readonly kind: 'rollover'; readonly units: bigint }
  /** Before and after a board was open: nothing was played, whatever the two values are. */
  | { readonly kind: 'board-open' }
  /** It went down by more than a rollover explains: never revenue before somebody said what happened. */
  | { readonly kind: 'reset-or-wrong' }
  /** It went down, and could have passed its last value or been set back: too few digits for its pace and the time. `units` is what a rollover would be. */
  | { readonly kind: 'rollover-or-reset'; readonly units: bigint }
  /** It went up by more than the machine can earn, and no second person looked at the reading. */
  | { readonly kind: 'above-ceiling'; readonly units: bigint };

/** Units of a difference that count, or null where it is not known. */
export function unitsOf(difference: Difference): bigint | null {
  switch (difference.kind) {
    case 'forward':
    case 'rollover':
      return difference.units;
    case 'board-open':
      return 0n;
    case 'reset-or-wrong':
    case 'rollover-or-reset':
    case 'above-ceiling':
      return null;
  }
}

/** The most units in the time between two moments; an hour that has begun counts whole. */
export function ceilingBetween({ fromMs, toMs, mostPerHour }: { readonly fromMs: number; readonly toMs: number; readonly mostPerHour: bigint }): bigint {
  return mostPerHour * BigInt(Math.max(1, Math.ceil((toMs - fromMs) / HOUR_MS)));
}

/** Whole days between readings up to which a fall of a meter can be told from a reset, at the pace that its machine can keep up. */
export function daysToldApart({ capacity, mostPerHour }: Pick<Meter, 'capacity' | 'mostPerHour'>): number {
  return Number((capacity - 1n) / mostPerHour / 24n);
}

/** Whether a meter that rose could have passed all its values once more in the time, unseen. */
export function couldHaveGoneRound(difference: Difference, { before, after, meter }: { readonly before: Pick<Reading, 'atMs'>; readonly after: Pick<Reading, 'atMs'>; readonly meter: Pick<Meter, 'capacity' | 'mostPerHour'> }): boolean {
  return difference.kind === 'forward' && difference.units + meter.capacity < ceilingBetween({ fromMs: before.atMs, toMs: after.atMs, mostPerHour: meter.mostPerHour });
}

/** The difference from one reading to the next one of the same meter. */
export function differenceBetween(before: Reading, after: Reading, meter: Pick<Meter, 'capacity' | 'mostPerHour'>): Difference {
  if (before.phase === 'before' && after.phase === 'after' && before.atMs === after.atMs) return { kind: 'board-open' };
  return readDifference({
    before: before.value,
    after: after.value,
    capacity: meter.capacity,
    ceiling: ceilingBetween({ fromMs: before.atMs, toMs: after.atMs, mostPerHour: meter.mostPerHour }),
    confirmed: after.confirmed,
    passedEnd: after.passedEnd,
  });
}

/**
 * Reads a difference, in units. `ceiling` is what the machine could earn in the time. `confirmed` lets a rise above it
 * stand, and never a fall: a meter that was set back needs its values before and after that. `passedEnd` is somebody's word
 * that it passed its last value: it decides where nothing else tells of a fall, and never makes a rollover of more than the machine can earn.
 */
export function readDifference(input: { readonly before: bigint; readonly after: bigint; readonly capacity: bigint; readonly ceiling: bigint; readonly confirmed: boolean; readonly passedEnd: boolean }): Difference {
  const { before, after, capacity, ceiling, confirmed, passedEnd } = input;
  if (after >= before) {
    const units = after - before;
    return units > ceiling && !confirmed ? { kind: 'above-ceiling', units } : { kind: 'forward', units };
  }
  const units = after + capacity - before;
  if (units >= ceiling) return { kind: 'reset-or-wrong' };
  return ceiling >= capacity && !passedEnd ? { kind: 'rollover-or-reset', units } : { kind: 'rollover', units };
}
