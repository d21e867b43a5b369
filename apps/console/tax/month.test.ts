import { isMonth, lastMonth } from './month';

it('offers the month before the present one, also in January', () => {
  expect(lastMonth(new Date(2026, 10, 25))).toBe('2026-10');
  expect(lastMonth(new Date(2026, 0, 31))).toBe('2025-12');
});

it.each([
  ['2026-03', true],
  ['2026-13', false],
  ['2026-3', false],
  ['', false],
])('%s is a month: %s', (text, expected) => {
  expect(isMonth(text)).toBe(expected);
});
