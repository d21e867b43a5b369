/** The tax of one dated rule in one period, by its method. */
import type { TaxRule } from '#domain/tax/types';
import type { RuleTax } from '#domain/settlement/component-tax';
import { dueTax, spreadTax } from '#domain/settlement/fixed-tax';
import type { PeriodInputs } from '#domain/settlement/inputs';
import { cappedTax, ratedTax } from '#domain/settlement/rated-tax';
import type { MachineBase } from '#domain/settlement/tax-bases';

export interface RuleTaxRequest {
  readonly rule: TaxRule;
  readonly bases: readonly MachineBase[];
  readonly inputs: PeriodInputs;
  /** Negative tax carried in, zero or below. */
  readonly carriedMinor: bigint;
}

export function ruleTax({ rule, bases, inputs, carriedMinor }: RuleTaxRequest): RuleTax {
  switch (rule.method) {
    case 'inside':
    case 'on-takings':
      return rule.capPerMachineMonthMinor === null
        ? ratedTax(rule, bases, carriedMinor)
        : cappedTax(rule, rule.capPerMachineMonthMinor, bases, carriedMinor);
    case 'fixed':
      return rule.timing.kind === 'by-days-covered' ? spreadTax(rule, bases, carriedMinor) : dueTax(rule, bases, inputs, carriedMinor);
  }
}
