/**
 * What lies between two readings of one meter. A meter that goes down has passed its last value, was set back, or was
 * read wrong; only the first is revenue, and only where the machine could have earned it.
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
    case 'above-ceiling':
      return null;
  }
}

/** The most units in the time between two moments; an hour that has begun counts whole. */
export function ceilingBetween({ fromMs, toMs, mostPerHour }: { readonly fromMs: number; readonly toMs: number; readonly mostPerHour: bigint }): bigint {
  return mostPerHour * BigInt(Math.max(1, Math.ceil((toMs - fromMs) / HOUR_MS)));
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
  });
}

/**
 * Reads a difference, in units. `ceiling` is what the machine could earn in the time. `confirmed` lets a rise above it
 * stand, and never a fall: a meter that was set back needs its values before and after that.
 */
export function readDifference(input: { readonly before: bigint; readonly after: bigint; readonly capacity: bigint; readonly ceiling: bigint; readonly confirmed: boolean }): Difference {
  const { before, after, capacity, ceiling, confirmed } = input;
  if (after >= before) {
    const units = after - before;
    return units > ceiling && !confirmed ? { kind: 'above-ceiling', units } : { kind: 'forward', units };
  }
  const units = after + capacity - before;
  return units < ceiling ? { kind: 'rollover', units } : { kind: 'reset-or-wrong' };
}
