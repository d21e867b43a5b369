// Taxes of a fixed amount per machine: spread over the days its counts cover, or whole on the day they fall due.
import { type Day, dayOf, daysBetween, isoDateOf, scaledByDays } from './calendar';
import { round, sum } from './numbers';
import type { DueDate, FixedComponent, Machine, PeriodInput, TaxRule } from './terms';

type Fixed = Extract<TaxRule['tax'], { method: 'fixed' }>;

interface FixedScope {
  rule: TaxRule;
  tax: Fixed;
  component: FixedComponent;
  machines: readonly string[];
  daysOf: (machine: string) => Day[];
  input: PeriodInput;
}

/** What each machine owes of one component. */
export function fixedTax({ rule, tax, component, machines, daysOf, input }: FixedScope): Map<string, bigint> {
  const { due } = tax;
  return new Map(
    machines.map((tag) => {
      if (due === 'by-days') return [tag, round(scaledByDays(component.amountMinor, tax.per, daysOf(tag)))];
      const machine = input.machines.find((one) => one.tag === tag);
      if (machine === undefined) throw new Error(`Machine ${tag} is not part of this settlement.`);
      const dues = duesOf({ ...rule, tax: { ...tax, due } }, machine, input.period);
      return [tag, sum(dues.map((one) => (one.onPlacement && isLater(component, one.day) ? (component.later?.amountMinor ?? 0n) : component.amountMinor)))];
    }),
  );
}

/** Whether a machine owes a tax because its day falls into the period, takings or not. */
export function fallsDue(rule: TaxRule, machine: Machine, period: PeriodInput['period']): boolean {
  const { tax } = rule;
  return tax.method === 'fixed' && tax.due !== 'by-days' && duesOf({ ...rule, tax: { ...tax, due: tax.due } }, machine, period).length > 0;
}

interface Due {
  day: Day;
  onPlacement: boolean;
}

function duesOf(rule: TaxRule & { tax: Fixed & { due: DueDate } }, machine: Machine, period: PeriodInput['period']): Due[] {
  const { per, due } = rule.tax;
  const inForce = (day: Day) => rule.from <= day && day < rule.until;
  return daysBetween(period)
    .filter(inForce)
    .flatMap((day): Due[] => {
      if (!machine.placements.some((one) => one.from <= day && day < one.until)) return [];
      // A machine that comes back has been there before: it owes on its first day only.
      const firstDay = Math.min(...machine.placements.map((one) => one.from));
      const dueDay = dueDayOf(per, due, day);
      if (day === dueDay) return [{ day, onPlacement: false }];
      return due.onPlacement && day === firstDay && day > dueDay ? [{ day, onPlacement: true }] : [];
    });
}

/** The due day in the month or year of a day; where the month is too short, its last day. */
function dueDayOf(per: 'month' | 'year', due: DueDate, day: Day): Day {
  const [year, month] = isoDateOf(day).split('-').map(Number);
  const dueMonth = per === 'year' ? due.month : (month ?? 1);
  const first = dayOf(`${year ?? 0}-${String(dueMonth).padStart(2, '0')}-01`);
  const next = dueMonth === 12 ? dayOf(`${(year ?? 0) + 1}-01-01`) : dayOf(`${year ?? 0}-${String(dueMonth + 1).padStart(2, '0')}-01`);
  return Math.min(first + due.day - 1, next - 1);
}

function isLater({ later }: FixedComponent, day: Day): boolean {
  if (later === undefined) return false;
  const [, month, dayOfMonth] = isoDateOf(day).split('-').map(Number);
  return (month ?? 0) > later.month || ((month ?? 0) === later.month && (dayOfMonth ?? 0) >= later.day);
}
