import { periodContaining, periodsTouching } from '#domain/calendar/periods';
import { localDate } from '#domain/calendar/local-date';

test('a month runs from its first day to the next first day', () => {
  expect(periodContaining({ kind: 'month' }, localDate('2028-02-29'))).toEqual({ from: '2028-02-01', until: '2028-03-01' });
  expect(periodContaining({ kind: 'month' }, localDate('2026-12-31'))).toEqual({ from: '2026-12-01', until: '2027-01-01' });
});

test('four weeks count from the anchor, backwards too', () => {
  const cycle = { kind: 'four-weeks', anchor: localDate('2026-01-05') } as const;
  expect(periodContaining(cycle, localDate('2026-01-05'))).toEqual({ from: '2026-01-05', until: '2026-02-02' });
  expect(periodContaining(cycle, localDate('2026-02-01'))).toEqual({ from: '2026-01-05', until: '2026-02-02' });
  expect(periodContaining(cycle, localDate('2026-01-04'))).toEqual({ from: '2025-12-08', until: '2026-01-05' });
});

test('a year has thirteen four-week periods', () => {
  const cycle = { kind: 'four-weeks', anchor: localDate('2026-01-05') } as const;
  expect(periodsTouching(cycle, { from: localDate('2026-01-05'), until: localDate('2027-01-04') })).toHaveLength(13);
});

test('a week begins on its weekday', () => {
  // 2026-11-25 is a Wednesday.
  expect(periodContaining({ kind: 'week', startsOnWeekday: 1 }, localDate('2026-11-25'))).toEqual({ from: '2026-11-23', until: '2026-11-30' });
  expect(periodContaining({ kind: 'week', startsOnWeekday: 3 }, localDate('2026-11-25'))).toEqual({ from: '2026-11-25', until: '2026-12-02' });
  expect(periodContaining({ kind: 'week', startsOnWeekday: 7 }, localDate('2026-11-25'))).toEqual({ from: '2026-11-22', until: '2026-11-29' });
});

test('a visit is a period of its day', () => {
  expect(periodContaining({ kind: 'visit' }, localDate('2026-11-25'))).toEqual({ from: '2026-11-25', until: '2026-11-26' });
});
