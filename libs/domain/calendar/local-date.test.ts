import fc from 'fast-check';
import { addDays, fromDayNumber, isLocalDate, localDate, toDayNumber, weekdayOf } from '#domain/calendar/local-date';

test.each([
  ['1970-01-01', 0],
  ['1969-12-31', -1],
  ['2000-02-29', 11_016],
  ['2000-03-01', 11_017],
  ['2026-11-25', 20_782],
])('%s is day %d', (text, day) => {
  expect(toDayNumber(localDate(text))).toBe(day);
  expect(fromDayNumber(day)).toBe(text);
});

test.each(['2025-02-29', '1900-02-29', '2026-04-31', '2026-13-01', '2026-00-10', '2026-1-1', '20260101', '1899-12-31', '2200-01-01', ''])(
  '%p is no date',
  (text) => {
    expect(isLocalDate(text)).toBe(false);
    expect(() => localDate(text)).toThrow('Not a local date');
  },
);

test('leap days exist every four years, not in 2100', () => {
  expect(isLocalDate('2028-02-29')).toBe(true);
  expect(isLocalDate('2100-02-29')).toBe(false);
});

test('1970-01-01 was a Thursday, 2026-11-25 is a Wednesday', () => {
  expect(weekdayOf(0)).toBe(4);
  expect(weekdayOf(toDayNumber(localDate('2026-11-25')))).toBe(3);
  expect(weekdayOf(-4)).toBe(7);
});

test('day numbers follow the calendar of the language runtime', () => {
  fc.assert(
    fc.property(fc.integer({ min: -25_567, max: 84_005 }), (day) => {
      const text = new Date(day * 86_400_000).toISOString().slice(0, 10);
      expect(fromDayNumber(day)).toBe(text);
      expect(toDayNumber(localDate(text))).toBe(day);
    }),
  );
});

test('adding days crosses months, years and leap days', () => {
  expect(addDays(localDate('2024-02-28'), 2)).toBe('2024-03-01');
  expect(addDays(localDate('2026-01-01'), -1)).toBe('2025-12-31');
});
