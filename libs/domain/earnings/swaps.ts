/**
 * Swaps worth trying: two games of one kind change cabinets, and the one that players like better comes to the place where
 * more of them are. By the model of `effects`, with the range in which the gain lies in nine of ten cases.
 */
import type { Effect, Effects } from './effects';

/** A game in a cabinet at a place, today. */
export interface Standing {
  readonly machineId: string;
  readonly kind: string;
  readonly placeId: string;
  readonly gameId: string;
}

export interface Swap {
  readonly first: Standing;
  readonly second: Standing;
  /** Of both places together, in whole units of the currency a day. */
  readonly gainPerDay: number;
  readonly least: number;
  readonly most: number;
}

/** Two-sided, nine of ten. */
const NINE_OF_TEN = 1.645;
/** Pairs are tried between so many of each kind: beyond, the gain is small. */
const CANDIDATES = 300;
/** Fewer days say nothing yet. */
const leastDays = 28;

/** The best first, each cabinet at most once; only swaps whose gain is above zero in nine of ten cases. */
export function swapsWorthTrying(standing: readonly Standing[], effects: Effects, { limit = 20 }: { readonly limit?: number } = {}): Swap[] {
  const known = standing.filter(({ placeId, gameId }) => isTold(effects.places.get(placeId)) && isTold(effects.games.get(gameId)));
  const swaps: Swap[] = [];
  for (const kind of new Set(known.map((each) => each.kind))) swaps.push(...swapsOf(known.filter((each) => each.kind === kind), effects));
  swaps.sort((one, other) => other.gainPerDay - one.gainPerDay || (one.first.machineId < other.first.machineId ? -1 : 1));
  const used = new Set<string>();
  return swaps
    .filter(({ first, second }) => {
      if (used.has(first.machineId) || used.has(second.machineId)) return false;
      used.add(first.machineId).add(second.machineId);
      return true;
    })
    .slice(0, limit);
}

/** A place with one game, or a game at one place, may be either's doing. */
function isTold(effect: Effect | undefined): boolean {
  return effect !== undefined && effect.seenWith >= 2 && effect.days >= leastDays;
}

function swapsOf(standing: readonly Standing[], effects: Effects): Swap[] {
  const place = (each: Standing): number => effects.places.get(each.placeId)?.effect ?? 0;
  const game = (each: Standing): number => effects.games.get(each.gameId)?.effect ?? 0;
  // Weak games at good places against good games at weak ones.
  const byMismatch = [...standing].sort((one, other) => place(other) - game(other) - (place(one) - game(one)));
  const [weakGames, goodGames] = [byMismatch.slice(0, CANDIDATES), byMismatch.slice(-CANDIDATES)];
  return weakGames.flatMap((first) =>
    goodGames.flatMap((second) => {
      if (effects.places.get(first.placeId)?.group !== effects.places.get(second.placeId)?.group) return [];
      if (first.placeId === second.placeId || place(first) <= place(second) || game(first) >= game(second)) return [];
      const swap = gainOf(first, second, effects);
      return swap.least > 0 ? [swap] : [];
    }),
  );
}

/** The error to first order, of the four effects together. */
function gainOf(first: Standing, second: Standing, effects: Effects): Swap {
  const effectOf = (side: 'places' | 'games', id: string): Effect => effects[side].get(id) ?? { id, effect: 0, standardError: 0, days: 0, seenWith: 0, group: 0 };
  const [placeA, placeB] = [effectOf('places', first.placeId), effectOf('places', second.placeId)];
  const [gameA, gameB] = [effectOf('games', first.gameId), effectOf('games', second.gameId)];
  const level = (place: Effect, game: Effect): number => Math.exp(effects.average + place.effect + game.effect);
  const [aa, ab, ba, bb] = [level(placeA, gameA), level(placeA, gameB), level(placeB, gameA), level(placeB, gameB)];
  const gainPerDay = ab + ba - aa - bb;
  const error = effects.errorOf({
    places: [
      [placeA.id, ab - aa],
      [placeB.id, ba - bb],
    ],
    games: [
      [gameA.id, ba - aa],
      [gameB.id, ab - bb],
    ],
  });
  return { first, second, gainPerDay, least: gainPerDay - NINE_OF_TEN * error, most: gainPerDay + NINE_OF_TEN * error };
}
