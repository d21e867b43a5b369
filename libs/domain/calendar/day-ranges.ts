/**
 * Sets of days as sorted, separate, half-open ranges of day numbers. A machine that is emptied on time has one range
 * per settlement, however many counts it has.
 */
import type { DayNumber } from '#domain/calendar/local-date';

export interface Days {
  readonly from: DayNumber;
  /** First day that does not belong to it any more. */
  readonly until: DayNumber;
}

export type DaySet = readonly Days[];

export const noDays: DaySet = [];

/** Sorts and merges ranges that overlap or touch; empty ones vanish. */
export function unionOfDays(ranges: readonly Days[]): DaySet {
  if (ranges.length === 0) return noDays;
  const sorted = isSorted(ranges) ? ranges : [...ranges].sort((first, second) => first.from - second.from);
  const merged: Days[] = [];
  let open: Days | null = null;
  for (const range of sorted) {
    if (range.until <= range.from) continue;
    if (open !== null && range.from <= open.until) {
      if (range.until > open.until) open = { from: open.from, until: range.until };
    } else {
      if (open !== null) merged.push(open);
      open = range;
    }
  }
  if (open !== null) merged.push(open);
  return merged;
}

/** The days of `minuend` that are not in `subtrahend`. */
export function subtractDays({ minuend, subtrahend }: { minuend: DaySet; subtrahend: DaySet }): DaySet {
  if (subtrahend.length === 0 || minuend.length === 0) return minuend;
  const rest: Days[] = [];
  for (const range of minuend) {
    let from = range.from;
    for (const gap of subtrahend) {
      if (gap.until <= from) continue;
      if (gap.from >= range.until) break;
      if (gap.from > from) rest.push({ from, until: gap.from });
      from = gap.until;
    }
    if (from < range.until) rest.push({ from, until: range.until });
  }
  return rest;
}

export function numberOfDays(days: DaySet): number {
  let total = 0;
  for (const range of days) total += range.until - range.from;
  return total;
}

function isSorted(ranges: readonly Days[]): boolean {
  for (let index = 1; index < ranges.length; index += 1) {
    if ((ranges[index - 1]?.from ?? 0) > (ranges[index]?.from ?? 0)) return false;
  }
  return true;
}
