/**
 * When a difference between counted and metered cash is large enough to be followed up. Exact: whole minor units, and a
 * percentage as a decimal.
 *
 * Published tests are benchmarks for these machines and law for others: 25 CFR 542.13(m)(5) (suspended) follows up "in excess
 * of three percent (3%) and over $25.00"; of metered in 13 Miss. Code R. 8-4.14, of counted in 542.13(m)(7); Florida
 * ch. 75-14 more than 2 % or more than $100.
 */
import { decimal, oneHundred, toBillionths, type Decimal } from '#domain/money/decimal';
import type { CurrencyCode } from '#domain/money/currency';

export interface Tolerance {
  /** Minor units; null where only the percentage is asked. */
  readonly amountMinor: bigint | null;
  /** Null where only the amount is asked. */
  readonly percent: Decimal | null;
  /** Whether both must be passed or one of them. Without meaning where there is only one. */
  readonly joinedBy: 'and' | 'or';
  readonly percentOf: 'metered' | 'counted';
  /** Whether the limits themselves are still within. */
  readonly limit: 'more-than' | 'at-least';
}

export interface CountedAgainstMetered {
  readonly meteredMinor: bigint;
  readonly countedMinor: bigint;
}

/** More than 25.00 and more than 3 % of metered, for operators who decided nothing. None for other currencies: 25 of them may be nothing, or a fortune. */
export function defaultTolerance(currency: CurrencyCode): Tolerance | null {
  return currency === 'USD' ? { amountMinor: 2500n, percent: decimal('3'), joinedBy: 'and', percentOf: 'metered', limit: 'more-than' } : null;
}

/**
 * Whether a shortage or an overage is out of tolerance. No difference never is, not even at least 0. Of a base that is
 * below zero, where a machine paid back more than it took, the percentage is taken of its size.
 */
export function isOutOfTolerance(tolerance: Tolerance, { meteredMinor, countedMinor }: CountedAgainstMetered): boolean {
  const differenceMinor = sizeOf(countedMinor - meteredMinor);
  if (differenceMinor === 0n) return false;
  const passes = (value: bigint, limit: bigint): boolean => (tolerance.limit === 'more-than' ? value > limit : value >= limit);
  const base = sizeOf(tolerance.percentOf === 'metered' ? meteredMinor : countedMinor);
  const tests = [
    ...(tolerance.amountMinor === null ? [] : [passes(differenceMinor, tolerance.amountMinor)]),
    ...(tolerance.percent === null ? [] : [passes(differenceMinor * oneHundred, toBillionths(tolerance.percent) * base)]),
  ];
  return tolerance.joinedBy === 'and' ? tests.length > 0 && tests.every(Boolean) : tests.some(Boolean);
}

function sizeOf(minor: bigint): bigint {
  return minor < 0n ? -minor : minor;
}
