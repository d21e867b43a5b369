import { amountForDays, unitsInDays } from '#domain/calendar/proration';
import { localDate, toDayNumber } from '#domain/calendar/local-date';
import { rational } from '#domain/money/rational';

function days(from: string, until: string) {
  return [{ from: toDayNumber(localDate(from)), until: toDayNumber(localDate(until)) }];
}

test('per week: days over seven', () => {
  expect(amountForDays({ amountMinor: 7500n, per: 'week' }, days('2026-01-01', '2026-01-29'))).toEqual(rational(30_000n));
  expect(amountForDays({ amountMinor: 7500n, per: 'week' }, days('2026-01-01', '2026-01-02'))).toEqual(rational(7500n, 7n));
});

test('per month: each month by its own length', () => {
  expect(unitsInDays('month', days('2026-01-31', '2026-03-01'))).toEqual(rational(1n + 31n, 31n));
  expect(unitsInDays('month', days('2028-02-01', '2028-02-29'))).toEqual(rational(28n, 29n));
});

test('per year: the leap year is longer', () => {
  expect(unitsInDays('year', days('2027-12-31', '2028-01-02'))).toEqual(rational(366n + 365n, 365n * 366n));
});

test('no days, nothing', () => {
  expect(amountForDays({ amountMinor: 100n, per: 'month' }, [])).toEqual(rational(0n));
});
