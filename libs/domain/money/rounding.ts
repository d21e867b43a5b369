/**
 * The one rounding rule of the money path: half-up, away from zero, to the whole minor unit (the third decimal over 4
 * rounds up: Streamlined Sales and Use Tax Agreement s. 324; negative amounts mirror positive ones).
 */
import type { Rational } from '#domain/money/rational';

export interface Division {
  readonly dividend: bigint;
  /** Above zero. */
  readonly divisor: bigint;
}

/** dividend / divisor, rounded half-up away from zero. */
export function divideHalfUp({ dividend, divisor }: Division): bigint {
  if (divisor <= 0n) throw new RangeError('Rounding needs a divisor above zero');
  return dividend < 0n ? -((-dividend * 2n + divisor) / (divisor * 2n)) : (dividend * 2n + divisor) / (divisor * 2n);
}

/** An exact value rounded half-up away from zero. */
export function roundHalfUp(value: Rational): bigint {
  return divideHalfUp({ dividend: value.numerator, divisor: value.denominator });
}
