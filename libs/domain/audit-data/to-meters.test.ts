import { electronicCapacity, type MeterTender } from '../meters/meter';
import type { FigureName } from './elements';
import type { Figure } from './sums';
import { metersFrom, minorOf } from './to-meters';

const figures = new Map<FigureName, Figure>([
  ['toBox', { sinceReset: 40_00n, sinceSetUp: 9_000_50n }],
  ['notesIn', { sinceReset: 100_00n, sinceSetUp: 2_500_00n }],
  ['cashVends', { sinceReset: 200n, sinceSetUp: 4_400n }],
  ['testVends', { sinceReset: 1_00n, sinceSetUp: 25_00n }],
  ['testVendsMade', { sinceReset: 2n, sinceSetUp: 50n }],
]);
const meter = (id: string, tender: MeterTender, unitMinor = 1n, capacity = 10n ** 8n) => ({ id, tender, secondOf: null, unitMinor, capacity });

test('coins are what went to the box, notes what came in, plays the sales for cash; what is paid back is told by no element', () => {
  const board = [meter('coins', 'coin', 25n), meter('notes', 'note', 100n), meter('plays', 'plays'), meter('back', 'refunds')];
  expect(metersFrom(figures, board)).toEqual({
    readings: [
      { meterId: 'coins', element: 'CA306', value: 36_002n },
      { meterId: 'notes', element: 'CA310', value: 2_500n },
      { meterId: 'plays', element: 'CA202', value: 4_400n },
    ],
    unfed: [
      { meterId: 'back', code: 'not-told', element: null },
    ],
  });
});

test.each([
  ['an amount that is no whole number of coins', [meter('coins', 'coin', 100n)], 'not-whole-units'],
  ['more than the meter can show', [meter('coins', 'coin', 1n, 10_000n)], 'too-large'],
  ['one figure for two meters', [meter('coins', 'coin', 25n), meter('more', 'coin', 50n)], 'two-meters'],
])('%s feeds no meter', (_what, board, code) => {
  const { readings, unfed } = metersFrom(figures, board);
  expect([readings, [...new Set(unfed.map((each) => each.code))]]).toEqual([[], [code]]);
});

test('amounts are brought to the digits of the currency, and never rounded', () => {
  expect(minorOf(250n, { decimals: 1, digits: 2 })).toBe(2_500n);
  expect(minorOf(250n, { decimals: 2, digits: 0 })).toBeNull();
  expect(minorOf(2_500n, { decimals: 3, digits: 2 })).toBe(250n);
});

/** What a board has of the figures: cash and plays of readings at their units, less the tests. */
const left = (readings: ReturnType<typeof metersFrom>['readings'], units: Readonly<Record<string, bigint>>) => readings.reduce((sum, { meterId, value }) => sum + (meterId === 'tests' ? -1n : 1n) * value * (units[meterId] ?? 0n), 0n);

test('test vends feed the meter of test plays, and come off what was counted with them: what is left is what the file says lies in the box', () => {
  const coins = metersFrom(figures, [meter('coins', 'coin', 25n), meter('notes', 'note', 100n), meter('tests', 'test-plays', 50n)]);
  expect(coins).toEqual({
    readings: [{ meterId: 'coins', element: 'CA306+VA201', value: 36_102n }, { meterId: 'notes', element: 'CA310', value: 2_500n }, { meterId: 'tests', element: 'VA201', value: 50n }],
    unfed: [],
  });
  expect(left(coins.readings, { coins: 25n, notes: 100n, tests: 50n })).toBe(9_000_50n + 2_500_00n);
  const notes = metersFrom(figures, [meter('notes', 'note', 100n), meter('tests', 'test-plays', 50n)]);
  expect(left(notes.readings, { notes: 100n, tests: 50n })).toBe(2_500_00n);
  // Where plays stand for coins, by number: prices may differ.
  const plays = metersFrom(figures, [meter('plays', 'plays', 75n), meter('tests', 'test-plays', 75n)]);
  expect(plays.readings).toEqual([{ meterId: 'plays', element: 'CA202+VA202', value: 4_450n }, { meterId: 'tests', element: 'VA202', value: 50n }]);
  expect(left(plays.readings, { plays: 75n, tests: 75n })).toBe(4_400n * 75n);
});

test('a file that tells of no test vends leaves their meter to be read, and the others as they are', () => {
  const without = new Map([...figures].filter(([name]) => name !== 'testVends' && name !== 'testVendsMade'));
  const { readings, unfed } = metersFrom(without, [meter('coins', 'coin', 25n), meter('tests', 'test-plays', 50n)]);
  expect([readings, unfed]).toEqual([[{ meterId: 'coins', element: 'CA306', value: 36_002n }], [{ meterId: 'tests', code: 'not-told', element: null }]]);
});

test.each([
  ['the electronic one where it is the second', electronicCapacity, 'second'],
  ['the first of two alike', 10n ** 8n, 'first'],
])('of two counters of the same cash the file tells of one: %s', (_what, capacity, fed) => {
  const { readings, unfed } = metersFrom(figures, [meter('first', 'coin', 25n), { ...meter('second', 'coin', 25n, capacity), secondOf: 'first' }]);
  expect(readings.map(({ meterId }) => meterId)).toEqual([fed]);
  expect(unfed.map(({ code }) => code)).toEqual(['not-told']);
});
