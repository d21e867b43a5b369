/**
 * Amounts per week, month or year for a set of days: amount x days / 7, or amount x days / length of that month (year),
 * summed over the months (years) that the days touch. Exact; whoever charges it rounds once.
 */
import { dayNumberOf, daysInMonth, daysInYear, yearMonthDayOf } from '#domain/calendar/local-date';
import { numberOfDays, type DaySet } from '#domain/calendar/day-ranges';
import { addRationals, rational, zero, type Rational } from '#domain/money/rational';
import type { TimeUnit } from '#domain/terms/types';

export interface AmountOverTime {
  readonly amountMinor: bigint;
  readonly per: TimeUnit;
}

/** The exact amount in minor units that falls on the days. */
export function amountForDays({ amountMinor, per }: AmountOverTime, days: DaySet): Rational {
  const portion = unitsInDays(per, days);
  return rational(amountMinor * portion.numerator, portion.denominator);
}

/** How many weeks, months or years the days make, as an exact fraction: 10 days of a February are 10/28 months. */
export function unitsInDays(per: TimeUnit, days: DaySet): Rational {
  if (per === 'week') return rational(BigInt(numberOfDays(days)), 7n);
  let units = zero;
  for (const range of days) {
    let from = range.from;
    while (from < range.until) {
      const piece = calendarPiece(per, from);
      const until = Math.min(piece.until, range.until);
      units = addRationals(units, rational(BigInt(until - from), BigInt(piece.length)));
      from = until;
    }
  }
  return units;
}

/** The calendar month or year that a day lies in: where it ends and how long it is. */
function calendarPiece(per: 'month' | 'year', day: number): { until: number; length: number } {
  const { year, month } = yearMonthDayOf(day);
  const first = dayNumberOf({ year, month: per === 'year' ? 1 : month, day: 1 });
  const length = per === 'year' ? daysInYear(year) : daysInMonth(year, month);
  return { until: first + length, length };
}
