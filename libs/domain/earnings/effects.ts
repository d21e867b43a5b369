/**
 * A good place and a good game told apart. What a game earns a day at a place is taken to be the average of all, times an
 * effect of the place, times an effect of the game: sums on the logarithm, fitted by weighted least squares, a day a weight.
 * Effects of little evidence are drawn towards none, as if each had besides seen some days of plain average: as many as
 * the spread of all effects says (`priorDays`; variance of a day over variance of the effects). With equal weights, every
 * game at every place and no prior it is the textbook two-way layout without interaction (NIST/SEMATECH e-Handbook
 * 7.4.3.8: row mean and column mean less the grand mean).
 *
 * These are estimates and no amounts: nothing that is owed is computed here. Binary fractions are used in this room only.
 */
import type { Cell } from './cell';
import { uncertaintyOf, type Contrast } from './uncertainty';

export interface Effect {
  readonly id: string;
  /** On the logarithm; 0 is average. */
  readonly effect: number;
  readonly standardError: number;
  readonly days: number;
  /** How many different games were seen at the place, or places at which the game was. Below two, place and game are one. */
  readonly seenWith: number;
  /** Places and games that are connected by games which were at several places. Between two groups nothing is told apart. */
  readonly group: number;
}

export interface Effects {
  readonly average: number;
  readonly priorDays: number;
  /** Of the takings of a single day about what the model says, on the logarithm. */
  readonly dayDeviation: number;
  readonly places: ReadonlyMap<string, Effect>;
  readonly games: ReadonlyMap<string, Effect>;
  /** Standard error of a weighted sum of effects, on the logarithm. */
  readonly errorOf: (contrast: Contrast) => number;
}

/** First guess of the prior, and the ends between which it may come out. */
const GUESSED_DAYS = 7;
const [FEWEST_DAYS, MOST_DAYS] = [1, 365];
const ROUNDS = 200;
const SETTLED = 1e-10;

type Side = 'placeId' | 'gameId';

/** With a prior of so many days, or of as many as the spread of the effects says. */
export function effectsOf(cells: readonly Cell[], { priorDays }: { readonly priorDays?: number } = {}): Effects {
  if (priorDays !== undefined) return fitted(cells, priorDays);
  const { dayDeviation, places, games } = fitted(cells, GUESSED_DAYS);
  const all = [...places.values(), ...games.values()];
  const spread = sum(all, ({ effect, standardError }) => effect ** 2 - standardError ** 2) / Math.max(1, all.length);
  const days = spread <= 0 ? MOST_DAYS : dayDeviation ** 2 / spread;
  return fitted(cells, Math.min(MOST_DAYS, Math.max(FEWEST_DAYS, days)));
}

function fitted(cells: readonly Cell[], priorDays: number): Effects {
  const totalDays = sum(cells, ({ days }) => days);
  if (totalDays === 0) return { average: 0, priorDays, dayDeviation: 0, places: new Map(), games: new Map(), errorOf: () => 0 };
  const byPlace = grouped(cells, 'placeId');
  const byGame = grouped(cells, 'gameId');
  let average = sum(cells, ({ days, meanLog }) => days * meanLog) / totalDays;
  const places = new Map([...byPlace.keys()].map((id) => [id, 0]));
  const games = new Map([...byGame.keys()].map((id) => [id, 0]));
  for (let round = 0; round < ROUNDS; round += 1) {
    const moved = Math.max(improve(places, byPlace, { average, other: games, otherSide: 'gameId', priorDays }), improve(games, byGame, { average, other: places, otherSide: 'placeId', priorDays }));
    const rest = sum(cells, (cell) => cell.days * (cell.meanLog - (places.get(cell.placeId) ?? 0) - (games.get(cell.gameId) ?? 0))) / totalDays;
    const shifted = Math.abs(rest - average);
    average = rest;
    if (moved < SETTLED && shifted < SETTLED) break;
  }
  average += centre(places, byPlace) + centre(games, byGame);
  const dayDeviation = deviationOf(cells, (cell) => average + (places.get(cell.placeId) ?? 0) + (games.get(cell.gameId) ?? 0), byPlace.size + byGame.size - 1);
  // Without a prior only differences are sure; a day of it leaves the error of a difference nearly as it is.
  const varianceOf = uncertaintyOf(cells, { priorDays: Math.max(priorDays, 1) });
  const errorOf = (contrast: Contrast): number => dayDeviation * Math.sqrt(varianceOf(contrast));
  const groups = groupsOf(byPlace, byGame);
  return {
    average,
    priorDays,
    dayDeviation,
    places: described(places, byPlace, 'gameId', { groups: groups.places, errorOf: (id) => errorOf({ places: [[id, 1]], games: [] }) }),
    games: described(games, byGame, 'placeId', { groups: groups.games, errorOf: (id) => errorOf({ places: [], games: [[id, 1]] }) }),
    errorOf,
  };
}

/** Sets each effect to the mean of what the other side leaves over; gives the largest step. */
function improve(effects: Map<string, number>, groups: ReadonlyMap<string, readonly Cell[]>, given: { readonly average: number; readonly other: ReadonlyMap<string, number>; readonly otherSide: Side; readonly priorDays: number }): number {
  let largest = 0;
  for (const [id, cells] of groups) {
    const days = sum(cells, (cell) => cell.days);
    const effect = sum(cells, (cell) => cell.days * (cell.meanLog - given.average - (given.other.get(cell[given.otherSide]) ?? 0))) / (days + given.priorDays);
    largest = Math.max(largest, Math.abs(effect - (effects.get(id) ?? 0)));
    effects.set(id, effect);
  }
  return largest;
}

/** Only differences of effects mean something: their mean by days goes into the average. Gives what it took out. */
function centre(effects: Map<string, number>, groups: ReadonlyMap<string, readonly Cell[]>): number {
  const days = [...groups].map(([id, cells]) => ({ id, days: sum(cells, (cell) => cell.days) }));
  const mean = sum(days, (each) => each.days * (effects.get(each.id) ?? 0)) / sum(days, (each) => each.days);
  for (const [id, effect] of effects) effects.set(id, effect - mean);
  return mean;
}

/** Of one day: an interval of n days is taken to lie 1 / square root of n as far off. */
function deviationOf(cells: readonly Cell[], expected: (cell: Cell) => number, parameters: number): number {
  const intervals = sum(cells, (cell) => cell.intervals);
  const freedom = intervals - parameters;
  if (freedom <= 0) return 0;
  const squares = sum(cells, (cell) => cell.days * Math.max(0, cell.meanSquareLog - 2 * expected(cell) * cell.meanLog + expected(cell) ** 2));
  return Math.sqrt(squares / freedom);
}

function described(effects: ReadonlyMap<string, number>, groups: ReadonlyMap<string, readonly Cell[]>, otherSide: Side, of: { readonly groups: ReadonlyMap<string, number>; readonly errorOf: (id: string) => number }): Map<string, Effect> {
  return new Map(
    [...groups].map(([id, cells]) => {
      const days = sum(cells, (cell) => cell.days);
      return [id, { id, effect: effects.get(id) ?? 0, standardError: of.errorOf(id), days, seenWith: new Set(cells.map((cell) => cell[otherSide])).size, group: of.groups.get(id) ?? 0 }];
    }),
  );
}

/** Walks from each place to its games, from these to their places, and so on. */
function groupsOf(byPlace: ReadonlyMap<string, readonly Cell[]>, byGame: ReadonlyMap<string, readonly Cell[]>): { readonly places: ReadonlyMap<string, number>; readonly games: ReadonlyMap<string, number> } {
  const [places, games] = [new Map<string, number>(), new Map<string, number>()];
  let group = 0;
  for (const start of byPlace.keys()) {
    if (places.has(start)) continue;
    group += 1;
    const waiting = [start];
    for (let place = waiting.pop(); place !== undefined; place = waiting.pop()) {
      if (places.has(place)) continue;
      places.set(place, group);
      for (const { gameId } of byPlace.get(place) ?? []) {
        if (games.has(gameId)) continue;
        games.set(gameId, group);
        waiting.push(...(byGame.get(gameId) ?? []).map(({ placeId }) => placeId));
      }
    }
  }
  return { places, games };
}

function grouped(cells: readonly Cell[], side: Side): Map<string, Cell[]> {
  const groups = new Map<string, Cell[]>();
  for (const cell of cells) {
    const group = groups.get(cell[side]);
    if (group === undefined) groups.set(cell[side], [cell]);
    else group.push(cell);
  }
  return groups;
}

function sum<Item>(items: readonly Item[], value: (item: Item) => number): number {
  return items.reduce((total, item) => total + value(item), 0);
}
