/** The tax of one dated rule in one period: its components, and what each machine bears of them. */
import { toDayNumber } from '#domain/calendar/local-date';
import type { Days } from '#domain/calendar/day-ranges';
import { amountForDays } from '#domain/calendar/proration';
import { allocate } from '#domain/money/allocation';
import { oneHundred, toBillionths } from '#domain/money/decimal';
import { rational, type Rational } from '#domain/money/rational';
import { roundHalfUp } from '#domain/money/rounding';
import { dueDays, fixedTaxByDays, fixedTaxWhenDue, placementDays } from '#domain/tax/fixed';
import { insideTax } from '#domain/tax/inside';
import { coversKind } from '#domain/tax/kinds';
import { keepAboveZero } from '#domain/tax/negative';
import { onTakingsTax } from '#domain/tax/on-takings';
import type { FixedTaxRule, InsideTaxRule, KindRateComponent, OnTakingsTaxRule, RateComponent, TaxRule } from '#domain/tax/types';
import type { Formula } from '#domain/settlement/lines';
import type { MachineBase } from '#domain/settlement/tax-bases';
import type { PeriodInputs, SettlementPeriod } from '#domain/settlement/types';

export interface RuleTax {
  /** The machines in the order of `byMachine`. */
  readonly bases: readonly MachineBase[];
  readonly baseMinor: bigint;
  /** Only where the price contains the tax. */
  readonly taxable: { readonly minor: bigint; readonly exact: Rational } | null;
  readonly components: readonly ComponentTax[];
  /** Negative tax to carry on, zero or below. */
  readonly carriedMinor: bigint;
}

export interface ComponentTax {
  readonly id: string;
  readonly title: string;
  readonly amountMinor: bigint;
  readonly byMachine: readonly bigint[];
  /** Computed for each machine; otherwise for all and then allocated. */
  readonly isOfMachines: boolean;
  readonly formula: Formula;
  readonly exact: Rational | null;
}

type RateRule = InsideTaxRule | OnTakingsTaxRule;

export interface RuleTaxRequest {
  readonly rule: TaxRule;
  readonly bases: readonly MachineBase[];
  readonly inputs: PeriodInputs;
  /** Negative tax carried in, zero or below. */
  readonly carriedMinor: bigint;
}

export function ruleTax({ rule, bases, inputs, carriedMinor }: RuleTaxRequest): RuleTax {
  if (rule.method === 'fixed') return rule.timing.kind === 'by-days-covered' ? fixedByDays(rule, bases, carriedMinor) : fixedWhenDue(rule, bases, inputs, carriedMinor);
  return rule.capPerMachineMonthMinor === null ? rated(rule, bases, carriedMinor) : capped(rule, rule.capPerMachineMonthMinor, bases, carriedMinor);
}

/** Computed once on the whole base, then allocated to the machines by their positive net takings. */
function rated(rule: RateRule, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const baseMinor = sumOf(bases, (base) => base.baseMinor);
  const inside = rule.method === 'inside' ? insideTax({ baseMinor, rates: rule.components.map((component) => toBillionths(component.ratePercent)) }) : null;
  const componentBases = rule.components.map((component) => sumOf(bases, (base) => (coversComponent(component, base) ? base.baseMinor : 0n)));
  const own = inside !== null ? inside.componentsMinor : onTakings(rule, componentBases);
  const kept = keepAboveZero({ componentsMinor: own, carriedMinor, negative: rule.negative });
  const components = rule.components.map((component, index): ComponentTax => {
    const amountMinor = kept.componentsMinor[index] ?? 0n;
    const rateOf = inside === null ? (componentBases[index] ?? 0n) : inside.taxableMinor;
    return {
      id: component.id,
      title: component.title,
      amountMinor,
      byMachine: toMachines(component, bases, amountMinor),
      isOfMachines: false,
      formula: formulaOf(kept.effect, rule, index),
      exact: rational(rateOf * toBillionths(component.ratePercent), oneHundred),
    };
  });
  const taxable = inside === null ? null : { minor: inside.taxableMinor, exact: inside.exactTaxable };
  return { bases, baseMinor, taxable, components, carriedMinor: kept.carriedMinor };
}

function onTakings(rule: RateRule, componentBases: readonly bigint[]): bigint[] {
  const bases = rule.components.map((component, index) => ({ baseMinor: componentBases[index] ?? 0n, rate: toBillionths(component.ratePercent) }));
  return onTakingsTax({ bases, rounding: rule.method === 'on-takings' ? rule.rounding : 'apart' });
}

function formulaOf(effect: 'none' | 'set-against-carried' | 'not-below-zero', rule: RateRule, index: number): Formula {
  if (effect === 'set-against-carried') return 'tax-set-against-carried';
  if (effect === 'not-below-zero') return 'tax-not-below-zero';
  const together = rule.method === 'inside' || rule.rounding === 'together';
  if (together && index === 0) return 'tax-first-component-takes-rest';
  return rule.method === 'inside' ? 'taxable-times-rate' : 'base-times-rate';
}

function toMachines(component: RateComponent | KindRateComponent, bases: readonly MachineBase[], amountMinor: bigint): bigint[] {
  const parts = bases.map(() => 0n);
  const covered = bases.flatMap((base, index) => (coversComponent(component, base) ? [{ base, index }] : []));
  if (amountMinor === 0n || covered.length === 0) return parts;
  const weights = covered.map(({ base }) => (base.netMinor > 0n ? base.netMinor : 0n));
  allocate({ amountMinor, weights }).forEach((part, position) => {
    parts[covered[position]?.index ?? 0] = part;
  });
  return parts;
}

/** Computed, capped and rounded for each machine, not below zero, then allocated to the components by their rates. */
function capped(rule: RateRule, capMinor: bigint, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const perMachine = bases.map((base) => {
    const covering = rule.components.filter((component) => coversComponent(component, base));
    const rates = covering.map((component) => toBillionths(component.ratePercent));
    const uncapped = rule.method === 'inside' ? insideTax({ baseMinor: base.baseMinor, rates }).taxMinor : sumOf(onTakingsTax({ bases: rates.map((rate) => ({ baseMinor: base.baseMinor, rate })), rounding: rule.rounding }), (part) => part);
    const cap = roundHalfUp(amountForDays({ amountMinor: capMinor, per: 'month' }, base.days()));
    const taxMinor = uncapped <= 0n ? 0n : uncapped < cap ? uncapped : cap;
    if (covering.length === 0) return rule.components.map(() => 0n);
    const weights = rule.components.map((component) => (coversComponent(component, base) ? toBillionths(component.ratePercent) : 0n));
    return allocate({ amountMinor: taxMinor, weights });
  });
  const own = rule.components.map((component, index) => ownOfMachines(component, perMachine.map((parts) => parts[index] ?? 0n), 'tax-capped'));
  const kept = keepAboveZero({ componentsMinor: own.map((component) => component.amountMinor), carriedMinor, negative: rule.negative });
  const components = kept.effect === 'none' ? own : own.map((component, index) => lowered(component, kept.componentsMinor[index] ?? 0n, formulaOf(kept.effect, rule, index)));
  return { bases, baseMinor: sumOf(bases, (base) => base.baseMinor), taxable: null, components, carriedMinor: kept.carriedMinor };
}

/** A component after a carried negative tax was set against it: every machine keeps its proportion. */
function lowered(component: ComponentTax, amountMinor: bigint, formula: Formula): ComponentTax {
  return { ...component, amountMinor, formula, byMachine: component.byMachine.length === 0 ? [] : allocate({ amountMinor, weights: component.byMachine }) };
}

function fixedByDays(rule: FixedTaxRule, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const days = bases.map((base) => base.days());
  const components = rule.components.map((component) =>
    ownOfMachines(component, days.map((covered) => roundHalfUp(fixedTaxByDays(rule, component, covered))), 'tax-fixed-by-days'),
  );
  return { bases, baseMinor: 0n, taxable: null, components, carriedMinor };
}

/** Due for every covered machine in place, whether or not anything was collected from it. */
function fixedWhenDue(rule: FixedTaxRule, bases: readonly MachineBase[], inputs: PeriodInputs, carriedMinor: bigint): RuleTax {
  const due = dueMachines(rule, inputs);
  const known = new Map(bases.map((base) => [base.machine.id, base]));
  const owing = due.map(({ machine }) => known.get(machine.id) ?? { machine, netMinor: 0n, baseMinor: 0n, netByRun: [], days: () => [], lineKeys: () => [] });
  const components = rule.components.map((component) =>
    ownOfMachines(component, due.map(({ days }) => sumOf(days, (day) => fixedTaxWhenDue(component, day))), 'tax-fixed-when-due'),
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
  return { from: Math.max(toDayNumber(period.from), toDayNumber(rule.from)), until: rule.until === null ? until : Math.min(until, toDayNumber(rule.until)) };
}

function ownOfMachines(component: { readonly id: string; readonly title: string }, byMachine: readonly bigint[], formula: Formula): ComponentTax {
  return { id: component.id, title: component.title, amountMinor: sumOf(byMachine, (part) => part), byMachine, isOfMachines: true, formula, exact: null };
}

function coversComponent(component: RateComponent | KindRateComponent, base: MachineBase): boolean {
  return !('machineKinds' in component) || coversKind(component.machineKinds, base.machine.kind);
}

function sumOf<Item>(items: readonly Item[], value: (item: Item) => bigint): bigint {
  return items.reduce((sum, item) => sum + value(item), 0n);
}
