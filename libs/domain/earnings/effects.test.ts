import type { Cell } from './cell';
import { effectsOf } from './effects';
import { swapsWorthTrying, type Standing } from './swaps';

const cell = (placeId: string, gameId: string, meanLog: number, more: Partial<Cell> = {}): Cell => ({ placeId, gameId, days: 70, intervals: 10, meanLog, meanSquareLog: meanLog ** 2, ...more });

/** A small generator of its own, so that a run can be repeated. */
function randomNormal(seed: number): () => number {
  let state = seed;
  const uniform = (): number => {
    state = (state * 1_664_525 + 1_013_904_223) % 4_294_967_296;
    return (state + 1) / 4_294_967_297;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

describe('effects of places and games', () => {
  // NIST/SEMATECH e-Handbook 7.4.3.8: in a balanced two-way layout without interaction an effect is the mean of its row or
  // column less the grand mean.
  it('are row and column means less the grand mean in a balanced layout', () => {
    const table = [
      [2.1, 2.9, 3.4],
      [1.0, 2.2, 2.5],
    ];
    const cells = table.flatMap((row, place) => row.map((meanLog, game) => cell(`P${place}`, `G${game}`, meanLog)));
    const { average, places, games } = effectsOf(cells, { priorDays: 0 });
    const grand = table.flat().reduce((total, value) => total + value, 0) / 6;
    expect(average).toBeCloseTo(grand, 9);
    table.forEach((row, place) => expect(places.get(`P${place}`)?.effect).toBeCloseTo(row.reduce((total, value) => total + value, 0) / 3 - grand, 9));
    [0, 1, 2].forEach((game) => expect(games.get(`G${game}`)?.effect).toBeCloseTo(((table[0]?.[game] ?? 0) + (table[1]?.[game] ?? 0)) / 2 - grand, 9));
  });

  it('tell a good place from a good game when both have moved', () => {
    const [placeEffects, gameEffects] = [new Map([['bar', 0.5], ['club', 0.1], ['shop', -0.6]]), new Map([['A', 0.4], ['B', 0], ['C', -0.4]])];
    const seen: readonly (readonly [string, string])[] = [['bar', 'A'], ['bar', 'B'], ['club', 'B'], ['club', 'C'], ['shop', 'A'], ['shop', 'C']];
    const cells = seen.map(([place, game]) => cell(place, game, 3 + (placeEffects.get(place) ?? 0) + (gameEffects.get(game) ?? 0)));
    const { places, games } = effectsOf(cells, { priorDays: 0 });
    expect((places.get('bar')?.effect ?? 0) - (places.get('shop')?.effect ?? 0)).toBeCloseTo(1.1, 6);
    expect((games.get('A')?.effect ?? 0) - (games.get('C')?.effect ?? 0)).toBeCloseTo(0.8, 6);
  });

  it('are drawn towards average where few days speak for them', () => {
    const cells = [cell('bar', 'A', 4), cell('shop', 'A', 2), cell('kiosk', 'A', 5, { days: 7, intervals: 1 })];
    const [strict, drawn] = [effectsOf(cells, { priorDays: 0 }), effectsOf(cells, { priorDays: 60 })];
    expect(drawn.places.get('kiosk')?.effect ?? 9).toBeLessThan((strict.places.get('kiosk')?.effect ?? 0) / 2);
  });

  it('are found again in a simulated year, each within its stated error as often as it says', () => {
    const normal = randomNormal(20_261_125);
    const [placeEffects, gameEffects] = [Array.from({ length: 40 }, () => normal() * 0.4), Array.from({ length: 25 }, () => normal() * 0.3)];
    const cells = placeEffects.flatMap((place, placeIndex) =>
      Array.from({ length: 6 }, (_unused, turn): Cell => {
        const game = (placeIndex * 3 + turn * 7) % 25;
        const logs = Array.from({ length: 12 }, () => 3.2 + place + (gameEffects[game] ?? 0) + (normal() * 0.9) / Math.sqrt(7));
        const mean = (power: number): number => logs.reduce((total, value) => total + value ** power, 0) / 12;
        return { placeId: `P${placeIndex}`, gameId: `G${game}`, days: 84, intervals: 12, meanLog: mean(1), meanSquareLog: mean(2) };
      }),
    );
    const { dayDeviation, places, games } = effectsOf(cells, { priorDays: 0 });
    expect(dayDeviation).toBeGreaterThan(0.85);
    expect(dayDeviation).toBeLessThan(0.95);
    const centred = (values: readonly number[]): number[] => values.map((value) => value - values.reduce((total, each) => total + each, 0) / values.length);
    const within = (found: ReadonlyMap<string, { effect: number; standardError: number }>, real: readonly number[], name: string): number => {
      const each = real.map((_effect, index) => found.get(`${name}${index}`) ?? { effect: 9, standardError: 0 });
      const [estimated, actual] = [centred(each.map(({ effect }) => effect)), centred(real)];
      return each.filter(({ standardError }, index) => Math.abs((estimated[index] ?? 9) - (actual[index] ?? 0)) < 2.5 * standardError).length;
    };
    expect(within(places, placeEffects, 'P') + within(games, gameEffects, 'G')).toBeGreaterThanOrEqual(60);
  });

  it('say what nothing connects: games that never met at one place, directly or by others', () => {
    const { places, games } = effectsOf([cell('bar', 'A', 3), cell('shop', 'A', 2), cell('shop', 'B', 2), cell('club', 'C', 3)]);
    expect([...places.values(), ...games.values()].map(({ id, group }) => `${id} ${group}`)).toEqual(['bar 1', 'shop 1', 'club 2', 'A 1', 'B 1', 'C 2']);
  });

  it('are drawn the further the less they spread', () => {
    const spread = (size: number) => effectsOf([-1, 0, 1].flatMap((place) => [-1, 1].map((game) => cell(`P${place}`, `G${game}`, 3 + place * size + (game * size) / 2, { meanSquareLog: (3 + place * size + (game * size) / 2) ** 2 + 0.02 }))));
    expect(spread(0.1).priorDays).toBeGreaterThan(4 * spread(0.4).priorDays);
  });

  it('are unsure where place and game were mostly seen together, however long', () => {
    const noisy = (placeId: string, gameId: string, meanLog: number, days: number) => cell(placeId, gameId, meanLog, { days, intervals: days / 7, meanSquareLog: meanLog ** 2 + 0.1 });
    const mixed = effectsOf([noisy('bar', 'A', 4, 140), noisy('bar', 'B', 3, 140), noisy('shop', 'A', 3, 140), noisy('shop', 'B', 2, 140)]);
    const apart = effectsOf([noisy('bar', 'A', 4, 273), noisy('bar', 'B', 3, 7), noisy('shop', 'A', 3, 7), noisy('shop', 'B', 2, 273)]);
    const difference = { places: [['bar', 1], ['shop', -1]], games: [] } as const;
    expect(apart.errorOf(difference) / apart.dayDeviation).toBeGreaterThan(1.5 * (mixed.errorOf(difference) / mixed.dayDeviation));
  });

  it('of nothing are none', () => expect(effectsOf([])).toMatchObject({ average: 0, dayDeviation: 0, places: new Map(), games: new Map() }));
});

describe('swaps worth trying', () => {
  const standing = (machineId: string, placeId: string, gameId: string, kind = 'video'): Standing => ({ machineId, kind, placeId, gameId });
  const effects = effectsOf(
    [cell('bar', 'A', 3.9), cell('bar', 'B', 3.1), cell('shop', 'A', 2.9), cell('shop', 'B', 2.1), cell('bar', 'C', 3.5), cell('shop', 'C', 2.5)].map((each) => ({ ...each, meanSquareLog: each.meanLog ** 2 + 0.01 })),
  );
  it('bring the better game to the better place, with the range of the gain', () => {
    const [swap, ...others] = swapsWorthTrying([standing('M-1', 'bar', 'B'), standing('M-2', 'shop', 'A')], effects);
    expect(others).toEqual([]);
    expect(swap).toMatchObject({ first: { machineId: 'M-1' }, second: { machineId: 'M-2' } });
    expect(swap?.gainPerDay).toBeGreaterThan(0);
    expect(swap?.least).toBeGreaterThan(0);
    expect((swap?.most ?? 0) - (swap?.gainPerDay ?? 0)).toBeCloseTo((swap?.gainPerDay ?? 0) - (swap?.least ?? 0), 9);
  });
  it('are none where each game stands where it should, kinds differ, or the place is the only one of its game', () => {
    expect(swapsWorthTrying([standing('M-1', 'bar', 'A'), standing('M-2', 'shop', 'B')], effects)).toEqual([]);
    expect(swapsWorthTrying([standing('M-1', 'bar', 'B'), standing('M-2', 'shop', 'A', 'pool')], effects)).toEqual([]);
    const single = effectsOf([cell('bar', 'A', 3.9), cell('shop', 'B', 2.1)]);
    expect(swapsWorthTrying([standing('M-1', 'bar', 'A'), standing('M-2', 'shop', 'B')], single)).toEqual([]);
  });
  it('use no cabinet twice', () => {
    const found = swapsWorthTrying([standing('M-1', 'bar', 'B'), standing('M-2', 'shop', 'A'), standing('M-3', 'shop', 'A')], effects);
    expect(found).toHaveLength(1);
  });
});
