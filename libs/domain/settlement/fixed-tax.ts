/** A tax per machine in one period: by days covered, or whole where it falls due. */
import type { Days } from '#domain/calendar/day-ranges';
import { toDayNumber } from '#domain/calendar/local-date';
import { roundHalfUp } from '#domain/money/rounding';
import { dueDays, fixedTaxByDays, fixedTaxWhenDue, placementDays } from '#domain/tax/fixed';
import { coversKind } from '#domain/tax/kinds';
import type { FixedTaxRule, TaxRule } from '#domain/tax/types';
import { ownOfMachines, sumOf, type RuleTax } from '#domain/settlement/component-tax';
import type { PeriodInputs, SettlementPeriod } from '#domain/settlement/inputs';
import type { MachineBase } from '#domain/settlement/tax-bases';

export function spreadTax(rule: FixedTaxRule, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const days = bases.map((base) => base.days());
  const components = rule.components.map((component) =>
    ownOfMachines(
      component,
      days.map((covered) => roundHalfUp(fixedTaxByDays(rule, component, covered))),
      { formula: 'tax-fixed-by-days', exactOfMachine: (index) => fixedTaxByDays(rule, component, days[index] ?? []) },
    ),
  );
  return { bases, baseMinor: 0n, taxable: null, components, carriedMinor };
}

/** Due for every covered machine in place, whether or not anything was collected from it. */
export function dueTax(rule: FixedTaxRule, bases: readonly MachineBase[], inputs: PeriodInputs, carriedMinor: bigint): RuleTax {
  const due = dueMachines(rule, inputs);
  const known = new Map(bases.map((base) => [base.machine.id, base]));
  const owing = due.map(
    ({ machine }) => known.get(machine.id) ?? { machine, netMinor: 0n, baseMinor: 0n, netByRun: [], days: () => [], lineKeys: () => [] },
  );
  const components = rule.components.map((component) =>
    ownOfMachines(
      component,
      due.map(({ days }) => sumOf(days, (day) => fixedTaxWhenDue(component, day))),
      { formula: 'tax-fixed-when-due', exactOfMachine: () => null },
    ),
  );
  return { bases: owing, baseMinor: 0n, taxable: null, components, carriedMinor };
}

function dueMachines(rule: FixedTaxRule, inputs: PeriodInputs) {
  const { timing } = rule;
  const within = daysUnderRule(rule, inputs.period);
  if (timing.kind !== 'when-due' || within.until <= within.from) return [];
  return inputs.machines
    .filter((machine) => coversKind(rule.machineKinds, machine.kind))
    .map((machine) => ({ machine, days: dueDays({ rule, timing, within, placements: placementDays(machine.placements) }) }))
    .filter(({ days }) => days.length > 0);
}

/** Whether a tax falls due in the period even if nothing was collected. */
export function anyTaxFallsDue(inputs: PeriodInputs): boolean {
  return inputs.taxRules.some((rule) => rule.method === 'fixed' && dueMachines(rule, inputs).length > 0);
}

function daysUnderRule(rule: TaxRule, period: SettlementPeriod): Days {
  const until = toDayNumber(period.until);
  return {
    from: Math.max(toDayNumber(period.from), toDayNumber(rule.from)),
    until: rule.until === null ? until : Math.min(until, toDayNumber(rule.until)),
  };
}
