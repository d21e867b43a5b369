// Local days as numbers, counted from 1970-01-01, and amounts that scale with days.
import { type Exact, exact, ratio, sumExact } from './numbers';

export type Day = number;

const dayLengthMs = 86_400_000;

/** Both names of the days that were asked for so far: some thousands, each of them a million times. */
const knownDays = new Map<string, Day>();
const knownIsoDates = new Map<Day, string>();

/** The number of the day that a date such as "2028-02-29" names. */
export function dayOf(isoDate: string): Day {
  let day = knownDays.get(isoDate);
  if (day === undefined) knownDays.set(isoDate, (day = Date.parse(`${isoDate}T00:00:00Z`) / dayLengthMs));
  return day;
}

export function isoDateOf(day: Day): string {
  let isoDate = knownIsoDates.get(day);
  if (isoDate === undefined) knownIsoDates.set(day, (isoDate = new Date(day * dayLengthMs).toISOString().slice(0, 10)));
  return isoDate;
}

/** Every day from the first up to, but not including, the last. */
export function daysBetween(span: { from: Day; until: Day }): Day[] {
  return Array.from({ length: Math.max(0, span.until - span.from) }, (_, index) => span.from + index);
}

function daysInMonthOf(day: Day): bigint {
  const date = new Date(day * dayLengthMs);
  return BigInt(new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 0)).getUTCDate());
}

function daysInYearOf(day: Day): bigint {
  const year = new Date(day * dayLengthMs).getUTCFullYear();
  return BigInt((Date.UTC(year + 1, 0, 1) - Date.UTC(year, 0, 1)) / dayLengthMs);
}

/** What each single day is worth of an amount per week, month or year; the days are added up before anyone rounds. */
export function scaledByDays(amountMinor: bigint, per: 'week' | 'month' | 'year', days: readonly Day[]): Exact {
  return sumExact(
    days.map((day) => {
      if (per === 'week') return ratio({ of: amountMinor, by: 7n });
      return ratio({ of: amountMinor, by: per === 'month' ? daysInMonthOf(day) : daysInYearOf(day) });
    }),
  );
}

/** The days of several lists, each once, in order. */
export function union(lists: readonly (readonly Day[])[]): Day[] {
  return [...new Set(lists.flat())].sort((left, right) => left - right);
}

export function without(days: readonly Day[], taken: readonly Day[]): Day[] {
  const gone = new Set(taken);
  return days.filter((day) => !gone.has(day));
}

export const zero: Exact = exact(0n);
