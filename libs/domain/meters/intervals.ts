/** The readings of one meter as a chain of intervals. */
import { couldHaveGoneRound, differenceBetween, unitsOf, type Difference } from './difference';
import { unitValueAt, type Meter, type Reading } from './meter';

export type MeterInterval = {
  readonly from: Reading;
  readonly to: Reading;
  readonly difference: Difference;
  /** Value of the difference in minor units; null where it is not known. */
  readonly valueMinor: bigint | null;
  /** What a unit is worth changed in between, and nobody read the meter then: nothing says how many units are worth what. */
  readonly acrossPrices: boolean;
  /** The board was opened or cleared in between, and nobody read the meter then: it may have been set back, and nothing says what was played. */
  readonly acrossOpening: boolean;
  /** What all values of the meter are worth, where it rose and could have passed them once more in the time; null where not. */
  readonly unseenRoundMinor: bigint | null;
};

const phaseOrder = { before: 0, only: 1, after: 2 } as const;

/** Readings by moment. In which order they arrived has no say. */
export function inOrder(readings: readonly Reading[]): Reading[] {
  return [...readings].sort((one, other) => one.atMs - other.atMs || phaseOrder[one.phase] - phaseOrder[other.phase]);
}

/** Intervals between readings that follow each other. A reading that was missed makes one long interval, not none and a large one. */
export function intervalsOf(meter: Meter, readings: readonly Reading[]): MeterInterval[] {
  const chain = inOrder(readings);
  return chain.slice(1).flatMap((to, index) => {
    const from = chain[index];
    if (from === undefined) return [];
    const difference = differenceBetween(from, to, meter);
    const units = unitsOf(difference);
    const acrossPrices = units !== 0n && isAcrossPrices(meter, { fromMs: from.atMs, toMs: to.atMs });
    const acrossOpening = isAcrossOpening(meter, { from, to });
    const valueMinor = units === null || acrossPrices || acrossOpening ? null : units * unitValueAt(meter, from.atMs);
    const isUnseen = valueMinor !== null && couldHaveGoneRound(difference, { before: from, after: to, meter });
    return [{ from, to, difference, valueMinor, acrossPrices, acrossOpening, unseenRoundMinor: isUnseen ? meter.capacity * unitValueAt(meter, from.atMs) : null }];
  });
}

/** A change at the moment of a reading parts the plays before it from those after. */
function isAcrossPrices(meter: Meter, { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number }): boolean {
  const before = unitValueAt(meter, fromMs);
  return meter.unitValues.some((value) => fromMs < value.fromMs && value.fromMs < toMs && value.minor !== before);
}

/** What was read before and after at that very moment tells of it; a single value of that moment does not say which it is. */
function isAcrossOpening({ openedMs }: Meter, { from, to }: { readonly from: Reading; readonly to: Reading }): boolean {
  return openedMs.some((openedAtMs) => (from.atMs < openedAtMs || (from.atMs === openedAtMs && from.phase === 'only')) && openedAtMs < to.atMs);
}

/**
 * Whether a new reading fits those around it. `false` means only "look again": whoever counts blind is not told what
 * was expected, nor which of the neighbours it does not fit.
 */
export function fitsNeighbours(meter: Meter, { reading, others }: { readonly reading: Reading; readonly others: readonly Reading[] }): boolean {
  return intervalsOf(meter, [...others, reading])
    .filter(({ from, to }) => from.id === reading.id || to.id === reading.id)
    .every(({ difference, acrossOpening }) => acrossOpening || unitsOf(difference) !== null);
}
