/** The tax of a rule on some machines of the area, with the domain's own methods. */
import { toBillionths } from '#domain/money/decimal';
import { sumOf, type RuleTax } from '#domain/settlement/component-tax';
import type { PeriodInputs } from '#domain/settlement/inputs';
import { ruleTax } from '#domain/settlement/rule-tax';
import type { MachineBase } from '#domain/settlement/tax-bases';
import { insideTax } from '#domain/tax/inside';
import { coversKind } from '#domain/tax/kinds';
import { onTakingsTax } from '#domain/tax/on-takings';
import type { TaxRule } from '#domain/tax/types';
import type { DueMachine } from '#domain/tax-return/falling-due';
import type { FilingMonth } from '#domain/tax-return/types';

/** What a rule is computed on: takings of machines, or machines for which it falls due. */
export interface RuleGround {
  readonly bases: readonly MachineBase[];
  readonly due: readonly DueMachine[];
}

export interface FiguresRequest {
  readonly rule: TaxRule;
  readonly month: FilingMonth;
  readonly ground: RuleGround;
  /** Negative tax of the month before, zero or below. */
  readonly carriedMinor: bigint;
}

export function figuresOf({ rule, month, ground, carriedMinor }: FiguresRequest): RuleTax {
  const machines = ground.due.map(({ machine }) => machine);
  const nothing = { versions: [], taxRules: [], limits: [], counts: [], refundSlips: [], cashless: [], breakIns: [] };
  const inputs: PeriodInputs = { ...nothing, period: { id: 'month', ...month }, machines };
  return ruleTax({ rule, bases: ground.bases, inputs, carriedMinor });
}

export function taxOf(tax: RuleTax): bigint {
  return sumOf(tax.components, (component) => component.amountMinor);
}

/** The tax as it comes out of the base, below zero where the base is: what `negative` makes of it is left out. */
export function unboundedTax(request: Omit<FiguresRequest, 'carriedMinor'>): bigint {
  const { rule, ground } = request;
  if (rule.method === 'fixed' || rule.capPerMachineMonthMinor !== null) return taxOf(figuresOf({ ...request, carriedMinor: 0n }));
  const baseOf = (covers: (kind: string) => boolean): bigint => sumOf(ground.bases, (base) => (covers(base.machine.kind) ? base.baseMinor : 0n));
  if (rule.method === 'inside') {
    return insideTax({ baseMinor: baseOf(() => true), rates: rule.components.map((component) => toBillionths(component.ratePercent)) }).taxMinor;
  }
  const bases = rule.components.map(({ machineKinds, ratePercent }) => ({ baseMinor: baseOf((kind) => coversKind(machineKinds, kind)), rate: toBillionths(ratePercent) }));
  return sumOf(onTakingsTax({ bases, rounding: rule.rounding }), (part) => part);
}
