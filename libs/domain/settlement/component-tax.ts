/** What a tax rule comes to in one period: its components, and what each machine bears of them. */
import { rational, type Rational } from '#domain/money/rational';
import type { Formula } from '#domain/settlement/lines';
import type { MachineBase } from '#domain/settlement/tax-bases';

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
  /** A machine's part before rounding, by its place in `byMachine`; null where it was not rounded. Only explanations ask. */
  readonly exactOfMachine: (index: number) => Rational | null;
}

/** The exact part of an amount that is allocated by weights; null where there was nothing to go by. */
export function quota({ amountMinor, weights }: { readonly amountMinor: bigint; readonly weights: readonly bigint[] }, index: number): Rational | null {
  const whole = sumOf(weights, (weight) => weight);
  return whole === 0n ? null : rational(amountMinor * (weights[index] ?? 0n), whole);
}

/** A component that is the machines' own, one amount per machine. */
export function ownOfMachines(
  component: { readonly id: string; readonly title: string },
  byMachine: readonly bigint[],
  how: { readonly formula: Formula; readonly exactOfMachine: ComponentTax['exactOfMachine'] },
): ComponentTax {
  return {
    id: component.id,
    title: component.title,
    amountMinor: sumOf(byMachine, (part) => part),
    byMachine,
    isOfMachines: true,
    exact: null,
    ...how,
  };
}

export function sumOf<Item>(items: readonly Item[], value: (item: Item) => bigint): bigint {
  return items.reduce((sum, item) => sum + value(item), 0n);
}
