/**
 * Exact fractions on bigint, for the few places that need them: amounts spread over days, and the value before
 * rounding that an explanation shows. Sums over thousands of counts stay in whole minor units.
 */
export interface Rational {
  readonly numerator: bigint;
  /** Always above zero. */
  readonly denominator: bigint;
}

export const zero: Rational = { numerator: 0n, denominator: 1n };

/** A fraction in lowest terms. */
export function rational(numerator: bigint, denominator: bigint = 1n): Rational {
  if (denominator === 0n) throw new RangeError('A fraction needs a denominator other than zero');
  const divisor = greatestCommonDivisor(numerator, denominator) * (denominator < 0n ? -1n : 1n);
  return { numerator: numerator / divisor, denominator: denominator / divisor };
}

export function addRationals(augend: Rational, addend: Rational): Rational {
  if (augend.denominator === addend.denominator) return rational(augend.numerator + addend.numerator, augend.denominator);
  return rational(augend.numerator * addend.denominator + addend.numerator * augend.denominator, augend.denominator * addend.denominator);
}

export function multiplyRationals(multiplicand: Rational, multiplier: Rational): Rational {
  return rational(multiplicand.numerator * multiplier.numerator, multiplicand.denominator * multiplier.denominator);
}

/** Negative, zero or positive as `left` is below, equal to or above `right`. */
export function compareRationals(left: Rational, right: Rational): number {
  const difference = left.numerator * right.denominator - right.numerator * left.denominator;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** Euclid. Not for two zeros, whose divisor would be zero. */
function greatestCommonDivisor(first: bigint, second: bigint): bigint {
  let larger = first < 0n ? -first : first;
  let smaller = second < 0n ? -second : second;
  while (smaller !== 0n) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}
