/**
 * A tax per machine: spread over the days that its counts cover, or whole on the day it falls due (a decal, a licence
 * of the year).
 */
import { amountForDays } from '#domain/calendar/proration';
import { dayNumberOf, daysInMonth, toDayNumber, yearMonthDayOf, type DayNumber } from '#domain/calendar/local-date';
import type { Days, DaySet } from '#domain/calendar/day-ranges';
import type { Rational } from '#domain/money/rational';
import type { AmountComponent, FixedTaxRule, FixedTaxTiming } from '#domain/tax/types';

type WhenDue = Extract<FixedTaxTiming, { kind: 'when-due' }>;

/** The exact amount of a component that is spread over days. */
export function fixedTaxByDays(rule: FixedTaxRule, component: AmountComponent, days: DaySet): Rational {
  return amountForDays({ amountMinor: component.amountMinor, per: rule.per }, days);
}

/** When one machine's tax falls due within some days, and whether as a machine that came later in the year. */
export interface DueDay {
  readonly day: DayNumber;
  readonly onPlacement: boolean;
}

export interface DueRequest {
  readonly rule: FixedTaxRule;
  readonly timing: WhenDue;
  /** The period, cut to the rule's dates. */
  readonly within: Days;
  /** Days on which the machine stands at the site. */
  readonly placements: readonly Days[];
}

export function dueDays({ rule, timing, within, placements }: DueRequest): DueDay[] {
  const { per } = rule;
  const regular = dueDates({ per, timing, within }).filter((day) => placements.some((placement) => placement.from <= day && day < placement.until));
  const due: DueDay[] = regular.map((day) => ({ day, onPlacement: false }));
  const [first] = [...placements].sort((left, right) => left.from - right.from);
  if (timing.onPlacement && first !== undefined && first.from >= within.from && first.from < within.until && first.from > dueDateAround(per, timing, first.from)) {
    due.push({ day: first.from, onPlacement: true });
  }
  return due;
}

/**
 * The due date of the year or month that a day belongs to. A machine that comes before it will still be in place on it
 * and owes the tax then, once; only one that comes after it owes on its first day.
 */
function dueDateAround(per: 'month' | 'year', timing: WhenDue, day: DayNumber): DayNumber {
  const { year, month } = yearMonthDayOf(day);
  return dueDate(timing, { year, month: per === 'year' ? timing.month : month });
}

/** The 31st falls due on the last day of a shorter month. */
function dueDate({ day }: WhenDue, { year, month }: { year: number; month: number }): DayNumber {
  return dayNumberOf({ year, month, day: Math.min(day, daysInMonth(year, month)) });
}

/** What a component asks for on a due day. */
export function fixedTaxWhenDue(component: AmountComponent, due: DueDay): bigint {
  const { placedLater } = component;
  if (!due.onPlacement || placedLater === null) return component.amountMinor;
  const { month, day } = yearMonthDayOf(due.day);
  const isLater = month > placedLater.month || (month === placedLater.month && day >= placedLater.day);
  return isLater ? placedLater.amountMinor : component.amountMinor;
}

function dueDates({ per, timing, within }: { per: 'month' | 'year'; timing: WhenDue; within: Days }): DayNumber[] {
  const dates: DayNumber[] = [];
  let { year, month } = yearMonthDayOf(within.from);
  if (per === 'year') month = timing.month;
  for (;;) {
    const day = dueDate(timing, { year, month });
    if (day >= within.until) return dates;
    if (day >= within.from) dates.push(day);
    if (per === 'year' || month === 12) year += 1;
    if (per === 'month') month = (month % 12) + 1;
  }
}

/** Placements as ranges of days; one without an end lasts beyond every period. */
export function placementDays(
  placements: readonly { readonly from: Parameters<typeof toDayNumber>[0]; readonly until: Parameters<typeof toDayNumber>[0] | null }[],
): Days[] {
  return placements.map((placement) => ({
    from: toDayNumber(placement.from),
    until: placement.until === null ? Number.MAX_SAFE_INTEGER : toDayNumber(placement.until),
  }));
}
