/**
 * How sure the effects are, together: the covariance of weighted least squares with a prior (the inverse of the normal
 * matrix times the variance of a day), through the Schur complement of the games, of which there are fewer than places.
 * Where a place and a game were mostly seen together, neither is sure, however many days there are.
 */
import type { Cell } from './cell';

/** Weights of effects whose weighted sum is asked about. */
export interface Contrast {
  readonly places: readonly (readonly [id: string, weight: number])[];
  readonly games: readonly (readonly [id: string, weight: number])[];
}

/** Variance of a contrast, for a variance of one of a single day. `priorDays` above zero. */
export function uncertaintyOf(cells: readonly Cell[], { priorDays }: { readonly priorDays: number }): (contrast: Contrast) => number {
  const games = new Map([...new Set(cells.map(({ gameId }) => gameId))].map((id, index) => [id, index]));
  const placeDays = new Map<string, number>();
  const byPlace = new Map<string, Map<number, number>>();
  const schur = Array.from({ length: games.size }, () => new Float64Array(games.size));
  for (const { placeId, gameId, days } of cells) {
    const game = games.get(gameId) ?? 0;
    placeDays.set(placeId, (placeDays.get(placeId) ?? priorDays) + days);
    const row = byPlace.get(placeId) ?? new Map<number, number>();
    row.set(game, (row.get(game) ?? 0) + days);
    byPlace.set(placeId, row);
    addTo(schur, [game, game], days);
  }
  for (const [placeId, row] of byPlace) {
    const total = placeDays.get(placeId) ?? priorDays;
    for (const [first, firstDays] of row) for (const [second, secondDays] of row) addTo(schur, [first, second], (-firstDays * secondDays) / total);
  }
  for (let game = 0; game < games.size; game += 1) addTo(schur, [game, game], priorDays);
  const factor = cholesky(schur);
  return ({ places, games: weights }) => {
    const rest = new Float64Array(games.size);
    let variance = 0;
    for (const [id, weight] of weights) {
      const game = games.get(id);
      if (game !== undefined) rest[game] = (rest[game] ?? 0) + weight;
    }
    for (const [id, weight] of places) {
      const total = placeDays.get(id) ?? priorDays;
      variance += weight ** 2 / total;
      for (const [game, days] of byPlace.get(id) ?? []) rest[game] = (rest[game] ?? 0) - (weight * days) / total;
    }
    return variance + squareLength(forward(factor, rest));
  };
}

function addTo(matrix: readonly Float64Array[], [row, column]: readonly [number, number], value: number): void {
  const line = matrix[row];
  if (line !== undefined) line[column] = (line[column] ?? 0) + value;
}

/** Lower triangle L with L L' = matrix, which is positive definite. */
function cholesky(matrix: readonly Float64Array[]): Float64Array[] {
  const factor = matrix.map((row) => new Float64Array(row.length));
  matrix.forEach((row, index) => {
    const own = factor[index] ?? new Float64Array();
    for (let column = 0; column <= index; column += 1) {
      const other = factor[column] ?? own;
      let value = row[column] ?? 0;
      for (let at = 0; at < column; at += 1) value -= (own[at] ?? 0) * (other[at] ?? 0);
      own[column] = column === index ? Math.sqrt(value) : value / (other[column] ?? 1);
    }
  });
  return factor;
}

/** Solves L x = values. */
function forward(factor: readonly Float64Array[], values: Float64Array): Float64Array {
  const solved = new Float64Array(values.length);
  factor.forEach((row, index) => {
    let value = values[index] ?? 0;
    for (let at = 0; at < index; at += 1) value -= (row[at] ?? 0) * (solved[at] ?? 0);
    solved[index] = value / (row[index] ?? 1);
  });
  return solved;
}

function squareLength(values: Float64Array): number {
  return values.reduce((total, value) => total + value ** 2, 0);
}
