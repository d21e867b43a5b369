import { dayAfter, daysAskedBy, daysOfMonth, pathOfFlags } from './flags-asked';

const id = '0189c0de-0000-7000-8000-000000000001';
const money = { amount: '0.00', currency: 'USD' };
const row = { id, several: false, code: 'X', name: '', currency: 'USD', counts: 3, outOfTolerance: 1, countersApart: 0, leftOut: 0, expected: money, counted: money, shortages: money, overages: money, openFlags: 1, explainedFlags: 0 };
const days = { from: '2026-03-15', to: '2026-05-31' };

test('a row leads to the flags that it counts, of the days and the site that were asked for', () => {
  expect(pathOfFlags(row, { by: 'machine', ...days })).toBe(`variances/flags?from=2026-03-15&to=2026-05-31&machine=${id}`);
  expect(pathOfFlags(row, { by: 'collector', ...days, siteId: 'bar' })).toBe(`variances/flags?from=2026-03-15&to=2026-05-31&site=bar&collector=${id}`);
  expect(pathOfFlags(row, { by: 'site', ...days })).toBe(`variances/flags?from=2026-03-15&to=2026-05-31&site=${id}`);
  expect(pathOfFlags({ ...row, id: null }, { by: 'collector', ...days })).toBeNull();
});

test('a month leads to its days, as far as they were asked for', () => {
  expect(pathOfFlags({ ...row, id: null, code: '2026-03' }, { by: 'month', ...days })).toBe('variances/flags?from=2026-03-15&to=2026-03-31');
  expect(pathOfFlags({ ...row, id: null, code: '2026-04' }, { by: 'month', ...days })).toBe('variances/flags?from=2026-04-01&to=2026-04-30');
});

test('days are read out of the address, and nonsense is none', () => {
  expect(daysAskedBy(new URLSearchParams(`from=2026-03-15&to=2026-05-31&machine=${id}&collector=x`))).toEqual({ ...days, machineId: id });
  expect(daysAskedBy(new URLSearchParams('from=2026-03-15'))).toBeNull();
  expect(daysAskedBy(new URLSearchParams('from=soon&to=2026-05-31'))).toBeNull();
});

test('months and days end where the calendar says', () => {
  expect(daysOfMonth('2024-02')).toEqual({ from: '2024-02-01', to: '2024-02-29' });
  expect([dayAfter('2024-02-28'), dayAfter('2026-12-31')]).toEqual(['2024-02-29', '2027-01-01']);
});
