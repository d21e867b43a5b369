/**
 * Whether something happens more often in one group than in another, for numbers too small for anything but counting
 * (Fisher 1935), and a correction for asking it of several people at once (Holm 1979).
 */
export interface FourFold {
  /** Whole numbers, not below zero: with and without the trait in the first group, then in the second. */
  readonly first: { readonly withTrait: number; readonly without: number };
  readonly second: { readonly withTrait: number; readonly without: number };
}

/** Chance as an exact fraction of whole numbers. */
export interface Chance {
  readonly ways: bigint;
  readonly of: bigint;
}

/**
 * Two-sided: the chance, under fixed margins and no association, of a table no more likely than this one. Counted in whole
 * numbers, so that tables that are exactly as likely are never lost to rounding.
 */
export function exactTest({ first, second }: FourFold): Chance {
  const firstSize = first.withTrait + first.without;
  const secondSize = second.withTrait + second.without;
  const withTrait = first.withTrait + second.withTrait;
  const least = Math.max(0, withTrait - secondSize);
  const most = Math.min(firstSize, withTrait);
  // Ways of the table with `least`, then from one table to the next by the ratio of neighbouring binomials.
  const ways = [binomial(firstSize, least) * binomial(secondSize, withTrait - least)];
  for (let cell = least; cell < most; cell += 1) {
    const up = BigInt(firstSize - cell) * BigInt(withTrait - cell);
    const down = BigInt(cell + 1) * BigInt(secondSize - withTrait + cell + 1);
    ways.push(((ways.at(-1) ?? 0n) * up) / down);
  }
  const own = ways[first.withTrait - least] ?? 0n;
  return {
    ways: ways.reduce((sum, each) => (each <= own ? sum + each : sum), 0n),
    of: ways.reduce((sum, each) => sum + each, 0n),
  };
}

/** A chance as a binary fraction, to about nine digits. */
export function chanceAsNumber({ ways, of }: Chance): number {
  const scale = 1_000_000_000_000n;
  return of === 0n ? 1 : Number((ways * scale) / of) / Number(scale);
}

/**
 * Holm's step-down correction: each chance times the number of tests not yet passed, never below the one before, at most 1.
 * In the order given.
 */
export function holm(chances: readonly number[]): number[] {
  const order = chances.map((chance, place) => ({ chance, place })).sort((left, right) => left.chance - right.chance);
  const corrected = new Array<number>(chances.length).fill(1);
  let highest = 0;
  order.forEach(({ chance, place }, passed) => {
    highest = Math.max(highest, Math.min(1, chance * (chances.length - passed)));
    corrected[place] = highest;
  });
  return corrected;
}

function binomial(size: number, chosen: number): bigint {
  let ways = 1n;
  for (let step = 1; step <= chosen; step += 1) ways = (ways * BigInt(size - chosen + step)) / BigInt(step);
  return ways;
}
