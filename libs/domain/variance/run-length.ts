/**
 * How many values a chart sees on average before it signals, where values are normal with a given mean in sigmas and
 * standard deviation one: the price in false alarms (mean 0) and the delay (mean of the shift). The chart is cut into
 * cells and taken for a Markov chain (Brook and Evans 1972 for the sum, Lucas and Saccucci 1990 for the average).
 */
import { averageLimit, type ChartSettings } from '#domain/variance/charts';
import { normalBelow } from '#domain/variance/normal';

/** Enough for four digits at the usual settings; the error falls with the square of the number. */
const CELLS = 120;

/** Average run length of the one-sided sum that starts at zero. `mean`: of the deviation in the direction that is watched. */
export function sumRunLength({ reference, decision }: Pick<ChartSettings, 'reference' | 'decision'>, mean: number): number {
  // Cell 0 is zero itself with half a cell above it; the last one ends at the decision limit.
  const width = (2 * decision) / (2 * CELLS - 1);
  const chance = (from: number, to: number): number => {
    const upTo = normalBelow((to - from + 0.5) * width + reference - mean);
    return to === 0 ? upTo : upTo - normalBelow((to - from - 0.5) * width + reference - mean);
  };
  return expectedSteps(CELLS, chance)[0] ?? Number.NaN;
}

/** Average run length of the two-sided moving average with constant limits that starts on its target. */
export function averageRunLength(settings: Pick<ChartSettings, 'weight' | 'width'>, mean: number): number {
  return stepsOfAverage(settings, mean)[CELLS / 2] ?? Number.NaN;
}

/**
 * The same with the limits that are drawn, which widen from the start and from each signal ({@link averageLimit}): step by step
 * over cells between the limits of the moment, until these are constant to a millionth, and from there as above.
 */
export function drawnAverageRunLength(settings: Pick<ChartSettings, 'weight' | 'width'>, mean: number): number {
  const { weight } = settings;
  const constant = limitOf(settings);
  let before: Grid = { middles: [0], limit: 0, chances: [1] };
  let length = 0;
  for (let values = 1; constant - before.limit > constant * 1e-6; values += 1) {
    // Whoever comes to this value has not signalled at those before.
    length += before.chances.reduce((sum, chance) => sum + chance, 0);
    const limit = averageLimit(values, settings);
    const width = (2 * limit) / GRID;
    const middles = Array.from({ length: GRID }, (_cell, cell) => (cell + 0.5) * width - limit);
    const chances = new Array<number>(GRID).fill(0);
    before.middles.forEach((middle, from) => {
      const below = (edge: number): number => normalBelow((edge - (1 - weight) * middle) / weight - mean);
      let lower = below(-limit);
      for (let cell = 0; cell < GRID; cell += 1) {
        const upper = below((cell + 1) * width - limit);
        chances[cell] = (chances[cell] ?? 0) + (before.chances[from] ?? 0) * (upper - lower);
        lower = upper;
      }
    });
    before = { middles, limit, chances };
  }
  const left = stepsOfAverage(settings, mean);
  return before.chances.reduce((sum, chance, cell) => sum + chance * (left[cell] ?? Number.NaN), length);
}

interface Grid {
  readonly middles: readonly number[];
  readonly limit: number;
  /** That the average lies in each cell, and has not signalled. */
  readonly chances: readonly number[];
}

const GRID = CELLS + 1;

function limitOf({ weight, width }: Pick<ChartSettings, 'weight' | 'width'>): number {
  return width * Math.sqrt(weight / (2 - weight));
}

/** Values to the signal with constant limits, by the cell in which the average lies. */
function stepsOfAverage(settings: Pick<ChartSettings, 'weight' | 'width'>, mean: number): number[] {
  const { weight } = settings;
  const limit = limitOf(settings);
  const width = (2 * limit) / GRID;
  const middle = (cell: number): number => (cell + 0.5) * width - limit;
  const chance = (from: number, to: number): number => {
    const bound = (edge: number): number => normalBelow((edge - (1 - weight) * middle(from)) / weight - mean);
    return bound(middle(to) + width / 2) - bound(middle(to) - width / 2);
  };
  return expectedSteps(GRID, chance);
}

/** Steps until a chain leaves its cells, by the cell it starts in: solves (I - Q) steps = 1. */
function expectedSteps(cells: number, chance: (from: number, to: number) => number): number[] {
  const rows = Array.from({ length: cells }, (_from, from) => [...Array.from({ length: cells }, (_to, to) => (from === to ? 1 : 0) - chance(from, to)), 1]);
  // Diagonally dominant, so elimination needs no exchange of rows.
  rows.forEach((pivotRow, pivot) => {
    for (const row of rows.slice(pivot + 1)) subtract(row, pivotRow, pivot);
  });
  const steps = new Array<number>(cells).fill(0);
  for (let cell = cells - 1; cell >= 0; cell -= 1) {
    const row = rows[cell] ?? [];
    const known = steps.reduce((sum, value, other) => (other > cell ? sum + (row[other] ?? 0) * value : sum), 0);
    steps[cell] = ((row[cells] ?? 0) - known) / (row[cell] ?? Number.NaN);
  }
  return steps;
}

function subtract(row: number[], pivotRow: readonly number[], pivot: number): void {
  const factor = (row[pivot] ?? 0) / (pivotRow[pivot] ?? Number.NaN);
  if (factor === 0) return;
  for (let place = pivot; place < row.length; place += 1) row[place] = (row[place] ?? 0) - factor * (pivotRow[place] ?? 0);
}
