import type { MeterTender } from '../meters/meter';
import type { FigureName } from './elements';
import type { Figure } from './sums';
import { metersFrom, minorOf } from './to-meters';

const figures = new Map<FigureName, Figure>([
  ['toBox', { sinceReset: 40_00n, sinceSetUp: 9_000_50n }],
  ['notesIn', { sinceReset: 100_00n, sinceSetUp: 2_500_00n }],
  ['cashVends', { sinceReset: 200n, sinceSetUp: 4_400n }],
  ['testVends', { sinceReset: 1_00n, sinceSetUp: 25_00n }],
]);
const meter = (id: string, tender: MeterTender, unitMinor = 1n, capacity = 10n ** 8n) => ({ id, tender, unitMinor, capacity });

test('coins are what went to the box, notes what came in, plays the sales for cash; test plays and what is paid back are told by no element', () => {
  const board = [meter('coins', 'coin', 25n), meter('notes', 'note', 100n), meter('plays', 'plays'), meter('tests', 'test-plays'), meter('back', 'refunds')];
  expect(metersFrom(figures, board)).toEqual({
    readings: [
      { meterId: 'coins', element: 'CA306', value: 36_002n },
      { meterId: 'notes', element: 'CA310', value: 2_500n },
      { meterId: 'plays', element: 'CA202', value: 4_400n },
    ],
    unfed: [
      { meterId: 'tests', code: 'not-told', element: null },
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
