/**
 * What was counted against what meters say, tender by tender. A shortage of coins is never netted against an overage of
 * notes; only where meters do not tell them apart are both compared together, as `cash`.
 */
import { isOutOfTolerance, type Tolerance } from '#domain/variance/tolerance';

export const tenders = ['coin', 'note', 'cash'] as const;
export type Tender = (typeof tenders)[number];

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
export type ThreeWay = 'all-agree' | 'counted-differs' | 'mechanical-differs' | 'electronic-differs' | 'unclear';

/** Compares a mechanical and an electronic meter with the count. Agree means within the tolerance. No source: common practice. */
export function compareThreeWays(
  witnesses: { readonly mechanicalMinor: bigint; readonly electronicMinor: bigint; readonly countedMinor: bigint },
  tolerance: Tolerance,
): ThreeWay {
  const agree = (meteredMinor: bigint, countedMinor: bigint): boolean => !isOutOfTolerance(tolerance, { meteredMinor, countedMinor });
  const { mechanicalMinor, electronicMinor, countedMinor } = witnesses;
  const pairs = [
    ...(agree(mechanicalMinor, electronicMinor) ? (['counted-differs'] as const) : []),
    ...(agree(electronicMinor, countedMinor) ? (['mechanical-differs'] as const) : []),
    ...(agree(mechanicalMinor, countedMinor) ? (['electronic-differs'] as const) : []),
  ];
  const [only] = pairs;
  if (pairs.length === 3) return 'all-agree';
  return pairs.length === 1 && only !== undefined ? only : 'unclear';
}
