/**
 * A variance in units of what is usual for its machine and tender, so that one chart fits machines that take ten and
 * machines that take ten thousand. The only place where amounts become binary floating point: nothing that comes out of
 * it is ever an amount again.
 *
 * - **Target: zero**, not a learned mean. Meter and count should agree; a mean learned while somebody skims would make
 *   the skim the norm.
 * - **Spread: in proportion to the square root of what is expected.** Slips of a counter or of a coin mechanism happen
 *   piece by piece and independently, so their variance grows with the number of pieces (as a Poisson count's does); this
 *   makes long intervals comparable with short ones, and a busy month with a quiet one.
 * - **Learned per machine and tender** from its first accepted intervals, as the robust standard deviation of
 *   variance / root(expected) around *their own median*: one box that was swapped with another does not widen it (half
 *   of the intervals may be wild), and neither does a steady skim that was there from the first day.
 * - **Never narrower** than a fixed share of what is expected, and than a small amount: a machine whose counts agreed to
 *   the last coin so far would otherwise cry out at the first coin that rolls under the cabinet.
 * - **Clipped** at `mostSigmas` on either side: one wild box is for the tolerance to report, not the chart of small
 *   steady shortages, which it would otherwise set off alone.
 *
 * The learned spread is known no better than some twenty intervals allow, so real run lengths vary around the stated ones.
 */
export interface Interval {
  readonly expectedMinor: bigint;
  readonly varianceMinor: bigint;
}

export interface Spread {
  /** Intervals before which nothing is standardised. */
  readonly learnAtLeast: number;
  /** Intervals after which the spread stays as it is. */
  readonly learnAtMost: number;
  /** Least spread as a share of what is expected. */
  readonly leastShare: number;
  /** Least spread in minor units. */
  readonly leastMinor: bigint;
  readonly mostSigmas: number;
}

/** Minor units as a binary fraction: exact below 2^53, which no box of cash reaches. */
function toFloat(minor: bigint): number {
  return Number(minor);
}

/** What is learned of an interval: its variance per root of what was expected. Nothing where nothing was expected. */
export function learnable({ expectedMinor, varianceMinor }: Interval): number | null {
  return expectedMinor > 0n ? toFloat(varianceMinor) / Math.sqrt(toFloat(expectedMinor)) : null;
}

/** The variance in sigmas, below zero for a shortage; null while too little is learned. */
export function standardise(interval: Interval, learned: readonly number[], spread: Spread): number | null {
  if (learned.length < spread.learnAtLeast) return null;
  const expected = Math.max(toFloat(interval.expectedMinor), 0);
  const sigma = Math.max(scaleOf(learned) * Math.sqrt(expected), spread.leastShare * expected, toFloat(spread.leastMinor), Number.MIN_VALUE);
  return Math.min(Math.max(toFloat(interval.varianceMinor) / sigma, -spread.mostSigmas), spread.mostSigmas);
}

/**
 * The standard deviation of those values that lie within three scaled median absolute deviations of the median: as robust
 * as the latter, and known nearly twice as well from the same number of values. 1.4826 makes it estimate the standard
 * deviation of a normal distribution, n / (n - 0.8) corrects it for small samples (Croux and Rousseeuw 1992, from memory);
 * 0.9866 is the standard deviation of a normal distribution that is cut at three.
 */
export function scaleOf(values: readonly number[]): number {
  const count = values.length;
  if (count < 2) return 0;
  const middle = medianOf(values);
  const rough = (1.4826 * medianOf(values.map((value) => Math.abs(value - middle))) * count) / (count - 0.8);
  const kept = values.filter((value) => Math.abs(value - middle) <= 3 * rough);
  const mean = kept.reduce((sum, value) => sum + value, 0) / kept.length;
  const squares = kept.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return kept.length < 2 ? rough : Math.sqrt(squares / (kept.length - 1)) / 0.9866;
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((left, right) => left - right);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? 0;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? 0) + upper) / 2;
}

/**
 * What operators get. `toleranceMinor` is the amount that is within tolerance: a fiftieth of it (0.50 of 25.00) is never
 * taken for unusual.
 */
export function usualSpread(toleranceMinor: bigint | null): Spread {
  return { learnAtLeast: 12, learnAtMost: 26, leastShare: 0.0025, leastMinor: (toleranceMinor ?? 0n) / 50n, mostSigmas: 4 };
}
