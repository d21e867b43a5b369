/**
 * Allocation by the largest remainder (Hamilton's method): everyone gets the whole units of the exact quota, and the
 * units that are left over go one by one to the largest fractions. The parts always sum to the amount.
 */
export interface Allocation {
  /** Minor units; may be negative, then its mirror image is allocated. */
  readonly amountMinor: bigint;
  /** Zero or above, at least one. Only their ratios matter. */
  readonly weights: readonly bigint[];
}

/**
 * One part per weight, in the order of the weights. A tie between fractions goes to the one listed first; when all
 * weights are zero, everything goes to the first.
 */
export function allocate({ amountMinor, weights }: Allocation): bigint[] {
  const parts = new Array<bigint>(weights.length).fill(0n);
  if (weights.length === 0) throw new RangeError('Nobody to allocate to');
  const total = sumOfWeights(weights);
  if (total === 0n || weights.length === 1) {
    parts[0] = amountMinor;
    return parts;
  }
  if (amountMinor === 0n) return parts;
  const sign = amountMinor < 0n ? -1n : 1n;
  const absolute = amountMinor * sign;
  const fractions = new Array<bigint>(weights.length);
  let leftOver = absolute;
  weights.forEach((weight, index) => {
    const quota = absolute * weight;
    const whole = quota / total;
    fractions[index] = quota - whole * total;
    parts[index] = whole * sign;
    leftOver -= whole;
  });
  if (leftOver > 0n) handOut({ parts, fractions, leftOver, sign });
  return parts;
}

function handOut({ parts, fractions, leftOver, sign }: { parts: bigint[]; fractions: readonly bigint[]; leftOver: bigint; sign: bigint }): void {
  const indexes = fractions.map((_fraction, index) => index);
  // Stable: equal fractions keep the listed order.
  indexes.sort((first, second) => compareDescending(fractions[first] ?? 0n, fractions[second] ?? 0n));
  let open = leftOver;
  for (const index of indexes) {
    if (open === 0n) return;
    parts[index] = (parts[index] ?? 0n) + sign;
    open -= 1n;
  }
}

export interface TableAllocation {
  /** What each row holds in all; zero or above. */
  readonly rows: readonly bigint[];
  /** What each column holds in all; zero or above, with the same sum as the rows. */
  readonly columns: readonly bigint[];
}

/**
 * Fills a table whose row and column sums are both given, as near to proportion as whole units allow: each row in turn
 * is allocated by what the columns still have to get. A column never gets more than that, because a quota below a
 * whole number rounds up to that number at most.
 */
export function allocateTable({ rows, columns }: TableAllocation): bigint[][] {
  const open = [...columns];
  return rows.map((row) => {
    const parts = allocate({ amountMinor: row, weights: open });
    parts.forEach((part, index) => {
      open[index] = (open[index] ?? 0n) - part;
    });
    return parts;
  });
}

function sumOfWeights(weights: readonly bigint[]): bigint {
  let total = 0n;
  for (const weight of weights) {
    if (weight < 0n) throw new RangeError('A weight cannot be below zero');
    total += weight;
  }
  return total;
}

function compareDescending(first: bigint, second: bigint): number {
  return first > second ? -1 : first < second ? 1 : 0;
}
