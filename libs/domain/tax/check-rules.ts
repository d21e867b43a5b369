/** Whether tax rules can be computed: what the types cannot say about one rule, and how rules of one area go together. */
import { largestMinor } from '#domain/money/amount';
import { oneHundred, toBillionths } from '#domain/money/decimal';
import { coversKind } from '#domain/tax/kinds';
import type { FixedTaxRule, MachineKinds, TaxRule } from '#domain/tax/types';

export type TaxProblemCode =
  | 'ends-before-it-starts'
  | 'components-missing'
  | 'component-used-twice'
  | 'rate-out-of-range'
  | 'rates-above-hundred'
  | 'amount-out-of-range'
  | 'kind-not-covered-by-rule'
  | 'no-such-day'
  | 'placed-later-needs-placement'
  | 'rule-listed-twice'
  | 'rows-overlap'
  | 'two-inside-rules';

export interface TaxProblem {
  /** JSON pointer into the list of rules. */
  readonly pointer: string;
  readonly code: TaxProblemCode;
  readonly parameters: Readonly<Record<string, string>>;
}

/** All problems of the rules that hold at one place, in their order. */
export function checkTaxRules(rules: readonly TaxRule[]): TaxProblem[] {
  return rules.flatMap((rule, index) => [...checkRule(rule, `/${index}`), ...checkAgainst(rule, rules.slice(0, index), `/${index}`)]);
}

function checkRule(rule: TaxRule, pointer: string): TaxProblem[] {
  const ids = rule.components.map((component) => component.id);
  return [
    ...(rule.until !== null && rule.until <= rule.from ? [problem(`${pointer}/until`, 'ends-before-it-starts')] : []),
    ...(ids.length === 0 ? [problem(`${pointer}/components`, 'components-missing')] : []),
    ...ids.flatMap((id, index) => (ids.indexOf(id) === index ? [] : [problem(`${pointer}/components/${index}/id`, 'component-used-twice')])),
    ...(rule.method === 'fixed' ? checkFixed(rule, pointer) : checkRates(rule, pointer)),
  ];
}

function checkRates(rule: Exclude<TaxRule, FixedTaxRule>, pointer: string): TaxProblem[] {
  const sum = rule.components.reduce((total, component) => total + toBillionths(component.ratePercent), 0n);
  const cap = rule.capPerMachineMonthMinor;
  return [
    ...rule.components.flatMap((component, index) => {
      const rate = toBillionths(component.ratePercent);
      return [
        ...(rate < 0n || rate > oneHundred
          ? [problem(`${pointer}/components/${index}/ratePercent`, 'rate-out-of-range', { rate: component.ratePercent })]
          : []),
        ...('machineKinds' in component && !isWithin(component.machineKinds, rule.machineKinds)
          ? [problem(`${pointer}/components/${index}/machineKinds`, 'kind-not-covered-by-rule')]
          : []),
      ];
    }),
    ...(sum > oneHundred ? [problem(`${pointer}/components`, 'rates-above-hundred')] : []),
    ...(cap === null ? [] : checkAmount(`${pointer}/capPerMachineMonthMinor`, cap)),
  ];
}

function checkFixed(rule: FixedTaxRule, pointer: string): TaxProblem[] {
  const { timing } = rule;
  const dueOnPlacement = timing.kind === 'when-due' && timing.onPlacement;
  return [
    ...(timing.kind === 'when-due' && !isMonthAndDay(timing) ? [problem(`${pointer}/timing`, 'no-such-day')] : []),
    ...rule.components.flatMap(({ amountMinor, placedLater }, index) => {
      const place = `${pointer}/components/${index}`;
      if (placedLater === null) return checkAmount(`${place}/amountMinor`, amountMinor);
      return [
        ...checkAmount(`${place}/amountMinor`, amountMinor),
        ...checkAmount(`${place}/placedLater/amountMinor`, placedLater.amountMinor),
        ...(isMonthAndDay(placedLater) ? [] : [problem(`${place}/placedLater`, 'no-such-day')]),
        ...(dueOnPlacement ? [] : [problem(`${place}/placedLater`, 'placed-later-needs-placement')]),
      ];
    }),
  ];
}

/** Rows of one tax must not overlap, and no machine may have two taxes inside its price at a time. */
function checkAgainst(rule: TaxRule, earlier: readonly TaxRule[], pointer: string): TaxProblem[] {
  return earlier.flatMap((other) => {
    if (other.id === rule.id) return [problem(`${pointer}/id`, 'rule-listed-twice')];
    if (!overlap(rule, other)) return [];
    if (other.taxId === rule.taxId) return [problem(`${pointer}/from`, 'rows-overlap', { other: other.id })];
    const bothInside = rule.method === 'inside' && other.method === 'inside';
    return bothInside && shareKinds(rule.machineKinds, other.machineKinds) ? [problem(pointer, 'two-inside-rules', { other: other.id })] : [];
  });
}

function overlap(left: TaxRule, right: TaxRule): boolean {
  return (left.until === null || right.from < left.until) && (right.until === null || left.from < right.until);
}

function shareKinds(left: MachineKinds, right: MachineKinds): boolean {
  return left === 'all' || right === 'all' || left.some((kind) => coversKind(right, kind));
}

function isWithin(part: MachineKinds, whole: MachineKinds): boolean {
  return part === 'all' || whole === 'all' || part.every((kind) => coversKind(whole, kind));
}

/** Any day that some year has: 29 February included. */
function isMonthAndDay({ month, day }: { readonly month: number; readonly day: number }): boolean {
  const longest = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1];
  return longest !== undefined && Number.isInteger(day) && day >= 1 && day <= longest;
}

function checkAmount(pointer: string, amountMinor: bigint): TaxProblem[] {
  return amountMinor >= 0n && amountMinor <= largestMinor ? [] : [problem(pointer, 'amount-out-of-range')];
}

function problem(pointer: string, code: TaxProblemCode, parameters: Readonly<Record<string, string>> = {}): TaxProblem {
  return { pointer, code, parameters };
}
