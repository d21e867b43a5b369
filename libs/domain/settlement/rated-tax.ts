/** A tax at a rate: on the whole base, or machine by machine where each has a cap. */
import { amountForDays } from '#domain/calendar/proration';
import { allocate } from '#domain/money/allocation';
import { oneHundred, toBillionths } from '#domain/money/decimal';
import { rational } from '#domain/money/rational';
import { roundHalfUp } from '#domain/money/rounding';
import { insideTax } from '#domain/tax/inside';
import { coversKind } from '#domain/tax/kinds';
import { keepAboveZero } from '#domain/tax/negative';
import { onTakingsTax } from '#domain/tax/on-takings';
import type { InsideTaxRule, KindRateComponent, OnTakingsTaxRule, RateComponent } from '#domain/tax/types';
import { ownOfMachines, quota, sumOf, type ComponentTax, type RuleTax } from '#domain/settlement/component-tax';
import type { Formula } from '#domain/settlement/lines';
import type { MachineBase } from '#domain/settlement/tax-bases';

export type RateRule = InsideTaxRule | OnTakingsTaxRule;

/** Computed once on the whole base, then allocated to the machines by their positive net takings. */
export function ratedTax(rule: RateRule, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const baseMinor = sumOf(bases, (base) => base.baseMinor);
  const inside =
    rule.method === 'inside' ? insideTax({ baseMinor, rates: rule.components.map((component) => toBillionths(component.ratePercent)) }) : null;
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
      exactOfMachine: (machine) => quota({ amountMinor, weights: weightsOf(component, bases) }, machine),
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

/** Positive net takings of the machines that the component covers, zero for the others. */
function weightsOf(component: RateComponent | KindRateComponent, bases: readonly MachineBase[]): bigint[] {
  return bases.map((base) => (coversComponent(component, base) && base.netMinor > 0n ? base.netMinor : 0n));
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
export function cappedTax(rule: RateRule, capMinor: bigint, bases: readonly MachineBase[], carriedMinor: bigint): RuleTax {
  const weightsAt = (base: MachineBase): bigint[] => rule.components.map((component) => (coversComponent(component, base) ? toBillionths(component.ratePercent) : 0n));
  const perMachine = bases.map((base) => {
    const covering = rule.components.filter((component) => coversComponent(component, base));
    const rates = covering.map((component) => toBillionths(component.ratePercent));
    const uncapped =
      rule.method === 'inside'
        ? insideTax({ baseMinor: base.baseMinor, rates }).taxMinor
        : sumOf(onTakingsTax({ bases: rates.map((rate) => ({ baseMinor: base.baseMinor, rate })), rounding: rule.rounding }), (part) => part);
    const cap = roundHalfUp(amountForDays({ amountMinor: capMinor, per: 'month' }, base.days()));
    const taxMinor = uncapped <= 0n ? 0n : uncapped < cap ? uncapped : cap;
    if (covering.length === 0) return rule.components.map(() => 0n);
    return allocate({ amountMinor: taxMinor, weights: weightsAt(base) });
  });
  const own = rule.components.map((component, index) =>
    ownOfMachines(
      component,
      perMachine.map((parts) => parts[index] ?? 0n),
      {
        formula: 'tax-capped',
        exactOfMachine: (machine) => {
          const base = bases[machine];
          return base === undefined ? null : quota({ amountMinor: sumOf(perMachine[machine] ?? [], (part) => part), weights: weightsAt(base) }, index);
        },
      },
    ),
  );
  const kept = keepAboveZero({ componentsMinor: own.map((component) => component.amountMinor), carriedMinor, negative: rule.negative });
  const components =
    kept.effect === 'none'
      ? own
      : own.map((component, index) => lowered(component, kept.componentsMinor[index] ?? 0n, formulaOf(kept.effect, rule, index)));
  return { bases, baseMinor: sumOf(bases, (base) => base.baseMinor), taxable: null, components, carriedMinor: kept.carriedMinor };
}

/** A component after a carried negative tax was set against it: every machine keeps its proportion. */
function lowered(component: ComponentTax, amountMinor: bigint, formula: Formula): ComponentTax {
  return {
    ...component,
    amountMinor,
    formula,
    byMachine: component.byMachine.length === 0 ? [] : allocate({ amountMinor, weights: component.byMachine }),
    exactOfMachine: (machine) => quota({ amountMinor, weights: component.byMachine }, machine),
  };
}

function coversComponent(component: RateComponent | KindRateComponent, base: MachineBase): boolean {
  return !('machineKinds' in component) || coversKind(component.machineKinds, base.machine.kind);
}
