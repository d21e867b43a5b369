/** What can be wrong with terms, as data: where (JSON pointer, RFC 6901), what, and the figures a message needs. */
import { largestMinor } from '#domain/money/amount';
import { billion, toBillionths, type Decimal } from '#domain/money/decimal';

export type TermsProblemCode =
  | 'currency-not-of-the-site'
  | 'needs-one-operator'
  | 'needs-one-site'
  | 'party-listed-twice'
  | 'party-unknown'
  | 'party-not-in-split'
  | 'weekday-out-of-range'
  | 'amount-out-of-range'
  | 'percent-out-of-range'
  | 'title-missing'
  | 'id-used-twice'
  | 'token-listed-twice'
  | 'machine-has-no-pool-of-its-own'
  | 'shares-not-hundred'
  | 'bands-missing'
  | 'bands-must-start-at-zero'
  | 'bands-gap-or-overlap'
  | 'last-band-must-be-open'
  | 'guarantee-given-twice'
  | 'guarantee-from-itself'
  | 'excess-in-a-circle'
  | 'guarantee-above-cap'
  | 'law-highest-site-share'
  | 'law-fixed-split'
  | 'law-no-advances';

export interface TermsProblem {
  readonly pointer: string;
  readonly code: TermsProblemCode;
  /** For the message: amounts in minor units, percentages, party ids, the source of a law. */
  readonly parameters: Readonly<Record<string, string>>;
}

export function problem(pointer: string, code: TermsProblemCode, parameters: Readonly<Record<string, string>> = {}): TermsProblem {
  return { pointer, code, parameters };
}

/** Refuses an amount below `least` or beyond what a box can hold. */
export function checkAmount(pointer: string, amountMinor: bigint, least: bigint): TermsProblem[] {
  if (amountMinor >= least && amountMinor <= largestMinor) return [];
  return [problem(pointer, 'amount-out-of-range', { least: least.toString(), most: largestMinor.toString() })];
}

/** Refuses a percentage outside 0 to 100; zero itself only where it means something. */
export function checkPercent(pointer: string, percent: Decimal, { zeroAllowed }: { zeroAllowed: boolean }): TermsProblem[] {
  const value = toBillionths(percent);
  if (value <= 100n * billion && (value > 0n || (zeroAllowed && value === 0n))) return [];
  return [problem(pointer, 'percent-out-of-range', { percent })];
}

/** Positions of items whose key came up before. */
export function repeatedIndexes<Item>(items: readonly Item[], keyOf: (item: Item) => string): number[] {
  const seen = new Set<string>();
  return items.flatMap((item, index) => {
    const key = keyOf(item);
    if (seen.has(key)) return [index];
    seen.add(key);
    return [];
  });
}
