import { kindOf, ownDays } from './own-days';

const march = { starts_on: '2026-03-01', ends_before: '2026-04-01' };

it.each([
  ['holds all month', '2025-01-01', null, '2026-03-01', '2026-04-01', 'regular'],
  ['begins in the month', '2026-03-10', null, '2026-03-10', '2026-04-01', 'regular'],
  ['begins on its first day', '2026-03-01', null, '2026-03-01', '2026-04-01', 'regular'],
  ['ends in the month', '2025-01-01', '2026-03-10', '2026-03-01', '2026-03-10', 'final'],
  ['ends with the month', '2025-01-01', '2026-04-01', '2026-03-01', '2026-04-01', 'final'],
  ['ends after the month', '2025-01-01', '2026-04-02', '2026-03-01', '2026-04-01', 'regular'],
  ['held for some days within it', '2026-03-05', '2026-03-10', '2026-03-05', '2026-03-10', 'final'],
  ['ended before the month', '2025-01-01', '2026-03-01', '2026-03-01', '2026-04-01', 'supplementary'],
])('an agreement that %s', (_title, started_on, ended_on, from, before, kind) => {
  expect(ownDays({ started_on, ended_on }, march)).toEqual({ from, before });
  expect(kindOf({ started_on, ended_on, ...march, finally_settled: true })).toBe(kind);
});

it('ends finally after its end where its last period was settled before the end was known', () => {
  expect(kindOf({ started_on: '2025-01-01', ended_on: '2026-02-10', ...march, finally_settled: false })).toBe('final');
});
