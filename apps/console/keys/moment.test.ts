import { instantFrom, toInstant, toLocal } from './moment';

test('a local time and its instant lead to each other', () => {
  const instant = toInstant('2026-03-01T08:00');
  expect(toLocal(instant)).toBe('2026-03-01T08:00');
  expect(toInstant('')).toBeUndefined();
  expect(toInstant('2026-03')).toBeUndefined();
  expect(toInstant('2026-13-01T08:00')).toBeUndefined();
  expect(toLocal(undefined)).toBe('');
});

test('nonsense in the address is left out', () => {
  const read = (text: string) => instantFrom(new URLSearchParams({ at: text }), 'at');
  expect(read('2026-03-01T08:00:00.000Z')).toBe('2026-03-01T08:00:00.000Z');
  expect(read('yesterday')).toBeUndefined();
  expect(read('2026-99-01T08:00')).toBeUndefined();
  expect(instantFrom(new URLSearchParams(), 'at')).toBeUndefined();
});
