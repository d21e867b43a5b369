/**
 * A tax that comes out negative is nothing to be paid out. It is zero, or it is carried to the rule's next period and
 * set against the tax there (as UK Finance Act 2012 Sch. 24 has it for machine games: carried, never refunded).
 */
import { allocate } from '#domain/money/allocation';

export interface NegativeRequest {
  readonly componentsMinor: readonly bigint[];
  /** Zero or below. */
  readonly carriedMinor: bigint;
  readonly negative: 'zero' | 'carry';
}

export interface NegativeOutcome {
  readonly componentsMinor: readonly bigint[];
  /** Zero or below. */
  readonly carriedMinor: bigint;
  readonly effect: 'none' | 'set-against-carried' | 'not-below-zero';
}

export function keepAboveZero({ componentsMinor, carriedMinor, negative }: NegativeRequest): NegativeOutcome {
  const ownMinor = componentsMinor.reduce((sum, part) => sum + part, 0n);
  const appliedMinor = negative === 'carry' ? carriedMinor : 0n;
  const totalMinor = ownMinor + appliedMinor;
  if (totalMinor < 0n) {
    return {
      componentsMinor: componentsMinor.map(() => 0n),
      carriedMinor: negative === 'carry' ? totalMinor : carriedMinor,
      effect: 'not-below-zero',
    };
  }
  if (appliedMinor === 0n) return { componentsMinor, carriedMinor, effect: 'none' };
  const weights = componentsMinor.map((part) => (part > 0n ? part : 0n));
  return { componentsMinor: allocate({ amountMinor: totalMinor, weights }), carriedMinor: 0n, effect: 'set-against-carried' };
}
