/**
 * What was counted against what meters say, tender by tender. A shortage of coins is never netted against an overage of
 * notes; only where meters do not tell them apart are both compared together, as `cash`.
 */
import type { Unknown } from '#domain/meters/expected-cash';
import type { CashTender } from '#domain/meters/meter';
import { isOutOfTolerance, type Tolerance } from '#domain/variance/tolerance';

export type Tender = CashTender;

/** Why counted cash is not compared with what meters say. `count-waits`: the box was emptied since the reading before, and that count is not accepted. */
export type NotCompared = Unknown | 'count-waits';

export interface ExpectedByTender {
  readonly tender: Tender;
  /** Null where meters are recorded and do not say. */
  readonly expectedMinor: bigint | null;
}

export interface Variance {
  readonly tender: Tender;
  readonly expectedMinor: bigint | null;
  readonly countedMinor: bigint;
  /** Counted less expected: below zero is a shortage. Null where the expected amount is not known. */
  readonly varianceMinor: bigint | null;
}

/** Variances of one emptied box. A tender without meters has none. */
export function variancesOf(counted: { readonly coinMinor: bigint; readonly noteMinor: bigint }, expected: readonly ExpectedByTender[]): Variance[] {
  const countedBy: { readonly [tender in Tender]: bigint } = { coin: counted.coinMinor, note: counted.noteMinor, cash: counted.coinMinor + counted.noteMinor };
  if (expected.length > 1 && expected.some(({ tender }) => tender === 'cash')) throw new RangeError('Cash as a whole and cash by tender would count the same money twice');
  return expected.map(({ tender, expectedMinor }) => ({ tender, expectedMinor, countedMinor: countedBy[tender], varianceMinor: expectedMinor === null ? null : countedBy[tender] - expectedMinor }));
}

/** Which of three witnesses of the same cash stands alone; `unclear` where no two agree, or one agrees with two that do not. */
export type Alone<Name extends string> = 'all-agree' | Name | 'unclear';

/** Three witnesses by name: each is what the next ones are held against. */
export type Witnesses<Name extends string> = readonly [Witness<Name>, Witness<Name>, Witness<Name>];
export interface Witness<Name extends string> {
  readonly name: Name;
  readonly minor: bigint;
}

/** Compares three witnesses of the same cash. Two agree where one is within the tolerance of the other that is named before it. No source: common practice. */
export function aloneOf<Name extends string>([first, second, third]: Witnesses<Name>, tolerance: Tolerance): Alone<Name> {
  const agree = (metered: Witness<Name>, counted: Witness<Name>): boolean => !isOutOfTolerance(tolerance, { meteredMinor: metered.minor, countedMinor: counted.minor });
  const alone = [...(agree(first, second) ? [third.name] : []), ...(agree(second, third) ? [first.name] : []), ...(agree(first, third) ? [second.name] : [])];
  const [only] = alone;
  if (alone.length === 3) return 'all-agree';
  return alone.length === 1 && only !== undefined ? only : 'unclear';
}
