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

/**
 * The same question asked within each of several groups of tables, as within each machine: the chance of a sum of first cells
 * that is no more likely than this one, where the margins of every table are fixed. A trait that is frequent in one table
 * and rare in another says nothing here, while it can pretend an association in their sum (Simpson 1951; the exact test
 * for several tables: Birch 1964, from memory). `times` says how often a table occurs.
 */
export function exactTestWithin(tables: readonly (FourFold & { readonly times: number })[]): number {
  let chances = [1];
  let own = 0;
  for (const { times, ...table } of tables) {
    const single = chancesOf(table);
    if (single.chances.length === 1) continue;
    for (let time = 0; time < times; time += 1) {
      chances = sumsOf(chances, single.chances);
      own += single.own;
    }
  }
  // Sums that are exactly as likely differ in the last digits of binary fractions.
  const most = (chances[own] ?? 0) * (1 + 1e-7);
  return Math.min(1, chances.reduce((sum, each) => (each <= most ? sum + each : sum), 0));
}

/** Chances of each possible first cell of one table, from the least on, and the place of the cell that it has. */
function chancesOf({ first, second }: FourFold): { readonly chances: number[]; readonly own: number } {
  const secondSize = second.withTrait + second.without;
  const withTrait = first.withTrait + second.withTrait;
  const firstSize = first.withTrait + first.without;
  const least = Math.max(0, withTrait - secondSize);
  const most = Math.min(firstSize, withTrait);
  const logs = [0];
  for (let cell = least; cell < most; cell += 1) {
    const ratio = ((firstSize - cell) * (withTrait - cell)) / ((cell + 1) * (secondSize - withTrait + cell + 1));
    logs.push((logs.at(-1) ?? 0) + Math.log(ratio));
  }
  const highest = logs.reduce((left, right) => Math.max(left, right), -Infinity);
  const weights = logs.map((log) => Math.exp(log - highest));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return { chances: weights.map((weight) => weight / total), own: first.withTrait - least };
}

/** Chances of the sum of two independent numbers that both count from zero. */
function sumsOf(left: readonly number[], right: readonly number[]): number[] {
  const sums = new Array<number>(left.length + right.length - 1).fill(0);
  left.forEach((leftChance, leftValue) => {
    right.forEach((rightChance, rightValue) => {
      sums[leftValue + rightValue] = (sums[leftValue + rightValue] ?? 0) + leftChance * rightChance;
    });
  });
  return sums;
}

/**
 * A chance as a binary fraction, to at least fourteen digits that count, however small: a chance above zero never becomes
 * zero, as "impossible" would be the one wrong answer about a person.
 */
export function chanceAsNumber({ ways, of }: Chance): number {
  if (of === 0n) return 1;
  const places = 15 + Math.max(0, of.toString().length - ways.toString().length);
  return Number(`${(ways * 10n ** BigInt(places)) / of}e-${places}`);
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
