/** What a rule is computed on in a filing month: the machines of a site, from whatever periods its agreements have. */
import { unionOfDays } from '#domain/calendar/day-ranges';
import type { LocalDate } from '#domain/calendar/local-date';
import { sumUp } from '#domain/settlement/cells';
import { groupRuns } from '#domain/settlement/group-runs';
import type { PeriodInputs } from '#domain/settlement/inputs';
import { cutPeriod } from '#domain/settlement/segments';
import { basesOf, type MachineBase } from '#domain/settlement/tax-bases';
import type { TaxRule } from '#domain/tax/types';
import type { FilingMonth } from '#domain/tax-return/types';

export interface SiteMonth {
  readonly month: FilingMonth;
  readonly periods: readonly PeriodInputs[];
  /** All rules of the month: they cut it where one begins or ends. */
  readonly rules: readonly TaxRule[];
  readonly files: (on: LocalDate) => boolean;
}

/** One base per machine of the site in which something happened under the rule in the month, by tag. */
export function siteBases(rule: TaxRule, { month, periods, rules, files }: SiteMonth): MachineBase[] {
  const merged = new Map<string, MachineBase>();
  for (const period of periods) {
    const within = cutToMonth(period, month, files);
    if (within === null) continue;
    for (const base of basesIn(rule, { ...within, taxRules: rules })) {
      const before = merged.get(base.machine.id);
      merged.set(base.machine.id, before === undefined ? base : together(before, base));
    }
  }
  return [...merged.values()].sort(byTag);
}

function basesIn(rule: TaxRule, inputs: PeriodInputs): MachineBase[] {
  const cut = cutPeriod(inputs);
  const machines = sumUp(inputs, cut);
  return basesOf(rule, { cut, machines, runs: groupRuns({ cut, machines, covered: new Map(), taxFallsDue: false }) });
}

/** The part of a period that is booked to the month and filed by the operator; null where they share no day. */
function cutToMonth(inputs: PeriodInputs, month: FilingMonth, files: (on: LocalDate) => boolean): PeriodInputs | null {
  const from = inputs.period.from > month.from ? inputs.period.from : month.from;
  const until = inputs.period.until < month.until ? inputs.period.until : month.until;
  if (from >= until) return null;
  const belongs = ({ accountingDate }: { readonly accountingDate: LocalDate }): boolean =>
    accountingDate >= month.from && accountingDate < month.until && files(accountingDate);
  return {
    ...inputs,
    period: { ...inputs.period, from, until },
    counts: inputs.counts.filter(belongs),
    refundSlips: inputs.refundSlips.filter(belongs),
    cashless: inputs.cashless.filter(belongs),
    breakIns: inputs.breakIns.filter(belongs),
  };
}

function together(first: MachineBase, second: MachineBase): MachineBase {
  return {
    machine: second.machine,
    netMinor: first.netMinor + second.netMinor,
    baseMinor: first.baseMinor + second.baseMinor,
    netByRun: [],
    days: () => unionOfDays([...first.days(), ...second.days()]),
    lineKeys: () => [],
  };
}

function byTag({ machine: first }: MachineBase, { machine: second }: MachineBase): number {
  if (first.tag !== second.tag) return first.tag < second.tag ? -1 : 1;
  return first.id < second.id ? -1 : 1;
}
