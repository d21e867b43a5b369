/** Taxes that fall due on a day: owed once per machine of the area, at the site where it stands then. */
import { dayNumberOf, daysInMonth, fromDayNumber, toDayNumber, yearMonthDayOf, type LocalDate } from '#domain/calendar/local-date';
import { dueDays, placementDays } from '#domain/tax/fixed';
import { coversKind } from '#domain/tax/kinds';
import type { FixedTaxRule, TaxRule } from '#domain/tax/types';
import type { FilingMonth, StandingMachine } from '#domain/tax-return/types';
import type { MachineInput } from '#domain/settlement/inputs';

export interface DueMachine {
  readonly machine: MachineInput;
  readonly siteId: string;
  readonly on: LocalDate;
}

export function fallsDue(rule: TaxRule): rule is FixedTaxRule {
  return rule.method === 'fixed' && rule.timing.kind === 'when-due';
}

/** Machines that owe the tax in the month. A machine that moved within the area since the last due date owes it once. */
export function dueInMonth(rule: FixedTaxRule, { month, standing }: { readonly month: FilingMonth; readonly standing: readonly StandingMachine[] }): DueMachine[] {
  const { timing } = rule;
  if (timing.kind !== 'when-due') return [];
  const from = rule.from > month.from ? rule.from : month.from;
  const until = rule.until !== null && rule.until < month.until ? rule.until : month.until;
  if (from >= until) return [];
  const within = { from: toDayNumber(from), until: toDayNumber(until) };
  const since = lastDueBefore(rule, month.from);
  return standing.flatMap(({ machine, siteOf }): DueMachine[] => {
    if (!coversKind(rule.machineKinds, machine.kind)) return [];
    const recent = machine.placements.filter((placement) => placement.until === null || placement.until > since);
    const [first] = dueDays({ rule, timing, within, placements: placementDays(recent) });
    if (first === undefined) return [];
    const on = fromDayNumber(first.day);
    const at = recent.find((placement) => placement.from <= on && (placement.until === null || on < placement.until));
    const siteId = at === undefined ? undefined : siteOf.get(at.id);
    return siteId === undefined ? [] : [{ machine: { ...machine, placements: recent }, siteId, on }];
  });
}

/** The latest due date before the month begins. */
function lastDueBefore(rule: FixedTaxRule, monthStart: LocalDate): LocalDate {
  const { timing } = rule;
  const start = toDayNumber(monthStart);
  const { year, month } = yearMonthDayOf(start);
  if (timing.kind !== 'when-due') return monthStart;
  if (rule.per === 'month') {
    const before = month === 1 ? { year: year - 1, month: 12 } : { year, month: month - 1 };
    return dueOn(timing.day, before);
  }
  const thisYear = dueOn(timing.day, { year, month: timing.month });
  return thisYear < monthStart ? thisYear : dueOn(timing.day, { year: year - 1, month: timing.month });
}

function dueOn(day: number, { year, month }: { readonly year: number; readonly month: number }): LocalDate {
  return fromDayNumber(dayNumberOf({ year, month, day: Math.min(day, daysInMonth(year, month)) }));
}
