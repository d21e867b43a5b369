/** How a cycle cuts time into settlement periods. */
import {
  addDays,
  dayNumberOf,
  daysInMonth,
  fromDayNumber,
  toDayNumber,
  weekdayOf,
  yearMonthDayOf,
  type LocalDate,
} from '#domain/calendar/local-date';
import type { Cycle } from '#domain/terms/types';

export interface PeriodDays {
  readonly from: LocalDate;
  /** First day of the next period. */
  readonly until: LocalDate;
}

/** The period of the cycle that contains the date; with `visit` each day of a visit is its own period. */
export function periodContaining(cycle: Cycle, date: LocalDate): PeriodDays {
  const day = toDayNumber(date);
  switch (cycle.kind) {
    case 'month': {
      const { year, month } = yearMonthDayOf(day);
      const first = dayNumberOf({ year, month, day: 1 });
      return daysFrom(first, daysInMonth(year, month));
    }
    case 'four-weeks':
      return daysFrom(day - modulo(day - toDayNumber(cycle.anchor), 28), 28);
    case 'week':
      return daysFrom(day - modulo(weekdayOf(day) - cycle.startsOnWeekday, 7), 7);
    case 'visit':
      return { from: date, until: addDays(date, 1) };
  }
}

/** Every period of the cycle that has a day in [from, until), in order. Not for `visit`, whose periods are the visits. */
export function periodsTouching(cycle: Exclude<Cycle, { kind: 'visit' }>, days: PeriodDays): PeriodDays[] {
  const periods: PeriodDays[] = [];
  let next = days.from;
  while (next < days.until) {
    const period = periodContaining(cycle, next);
    periods.push(period);
    next = period.until;
  }
  return periods;
}

function daysFrom(first: number, length: number): PeriodDays {
  return { from: fromDayNumber(first), until: fromDayNumber(first + length) };
}

function modulo(value: number, divisor: number): number {
  return ((value % divisor) + divisor) % divisor;
}
