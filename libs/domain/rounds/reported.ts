/**
 * The cash in a box by what its machine reported: what the meters went on since the box was emptied, less what the machine
 * paid back and the plays that were tests. No source: common practice.
 */
import { intervalsOf } from '#domain/meters/intervals';
import { cashTenders, type CashTender, type Meter, type Reading } from '#domain/meters/meter';
import { partOf } from '#domain/meters/part';

/**
 * A meter with its reading as the box was emptied and the latest that was reported since; null where there is none. `parting`: what is known of it in between that
 * parts what was played: at a change of what its units are worth, and before and after a board was open.
 */
export type MeterSince = Meter & { readonly emptied: Reading | null; readonly latest: Reading | null; readonly parting: readonly Reading[] };

/** In minor units; `null` unless every cash meter was read as the box was emptied and has reported since, without a jump that explains nothing. */
export function reportedCash(meters: readonly MeterSince[]): bigint | null {
  const paidIn = meters.some((meter) => partOf(meter, { meters })?.sign === 1n);
  const byTender = paidIn ? reportedByTender(meters) : null;
  if (byTender === null) return null;
  const sum = byTender.reduce((total, { minor }) => total + minor, 0n);
  return sum < 0n ? 0n : sum;
}

/**
 * The same by tender, between two reports of the machine alone: a witness that neither collected nor counted. Null where a
 * cash meter did not report at both ends; below zero where more was paid back than went in.
 */
export function reportedByTender(meters: readonly MeterSince[]): { readonly tender: CashTender; readonly minor: bigint }[] | null {
  const parts = meters.flatMap((meter) => {
    const part = partOf(meter, { meters });
    return part === null ? [] : [{ ...part, minor: valueSince(meter) }];
  });
  if (parts.length === 0 || parts.some(({ minor }) => minor === null)) return null;
  return cashTenders.flatMap((tender) => {
    const own = parts.filter((part) => part.tender === tender);
    return own.length === 0 ? [] : [{ tender, minor: own.reduce((sum, { sign, minor }) => sum + sign * (minor ?? 0n), 0n) }];
  });
}

/** What is worth something else from a moment on is counted at both prices where it is known what the meter showed then, and else by nobody. */
function valueSince({ emptied, latest, parting, ...meter }: MeterSince): bigint | null {
  if (emptied === null || latest === null) return null;
  return intervalsOf(meter, [emptied, ...parting, latest]).reduce<bigint | null>((sum, { valueMinor }) => (sum === null || valueMinor === null ? null : sum + valueMinor), 0n);
}
