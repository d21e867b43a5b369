// Exact numbers: amounts are whole minor units, everything between them a fraction, and rounding is always asked for.
import Fraction from 'fraction.js';

export type Exact = InstanceType<typeof Fraction>;

/** An exact number from whole minor units, or from a decimal written out ("0.045"). */
export function exact(value: bigint | string): Exact {
  return new Fraction(value);
}

/** The quotient of two whole numbers, kept exact. */
export function ratio(parts: { of: bigint; by: bigint }): Exact {
  return new Fraction(parts.of, parts.by);
}

/** Half-up, away from zero: 2.5 becomes 3 and -2.5 becomes -3. */
export function round(value: Exact): bigint {
  const magnitude = value.abs().add(new Fraction(1n, 2n)).floor().n;
  return value.compare(0) < 0 ? -magnitude : magnitude;
}

/** The whole number at or above. */
export function ceiling(value: Exact): bigint {
  const up = value.ceil();
  return up.s * up.n;
}

export function sum(amounts: readonly bigint[]): bigint {
  return amounts.reduce<bigint>((total, amount) => total + amount, 0n);
}

export function sumExact(values: readonly Exact[]): Exact {
  return values.reduce((total, value) => total.add(value), exact(0n));
}

export function smallest(amounts: readonly [bigint, ...bigint[]]): bigint {
  return amounts.reduce<bigint>((least, amount) => (amount < least ? amount : least), amounts[0]);
}

/** The amount if it is above zero, else nothing. */
export function positive(amount: bigint): bigint {
  return amount > 0n ? amount : 0n;
}

/**
 * The largest-remainder method: exact quotas, each cut down to a whole unit, and the units left over go one by one to the largest
 * fractions cut off. The one listed first wins a tie; with no weight at all the first takes everything.
 */
export function allocate(amount: bigint, weights: readonly Exact[]): bigint[] {
  if (amount < 0n) return allocate(-amount, weights).map((part) => -part);
  if (weights.length === 0) {
    if (amount !== 0n) throw new Error('Nothing to allocate to.');
    return [];
  }
  const totalWeight = sumExact(weights);
  if (totalWeight.compare(0) === 0) return weights.map((_, index) => (index === 0 ? amount : 0n));
  const quotas = weights.map((weight) => exact(amount).mul(weight).div(totalWeight));
  const parts = quotas.map((quota) => quota.floor().n);
  const byFraction = quotas
    .map((quota, index) => ({ index, fraction: quota.sub(quota.floor()) }))
    .sort((left, right) => right.fraction.compare(left.fraction) || left.index - right.index);
  const leftOver = Number(amount - sum(parts));
  for (const { index } of byFraction.slice(0, leftOver)) parts[index] = (parts[index] ?? 0n) + 1n;
  return parts;
}
