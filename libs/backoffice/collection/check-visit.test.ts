import { localDate } from '#domain/calendar/local-date';
import { checkVisit } from './check-visit';

const site = { id: 'site', code: 'S-1', name: 'Quay Tavern', currency: 'USD', time_zone: 'America/Chicago', opened_on: localDate('2026-01-01'), closed_on: localDate('2026-10-20') } as const;
const now = new Date('2026-10-10T17:00:00Z');
const check = (happenedAt: string, accountingDate?: string, accountingReason?: string, at = now) =>
  checkVisit({ happenedAt: new Date(happenedAt), accountingDate: accountingDate === undefined ? undefined : localDate(accountingDate), accountingReason }, { site, now: at });
const codes = (result: ReturnType<typeof check>) => (Array.isArray(result) ? result.map(({ path, code }) => `${path.join('/')} ${code}`) : []);

test('a visit is booked to its own day at the site', () => {
  expect(check('2026-10-08T03:30:00Z')).toEqual({ localDate: '2026-10-07', accountingDate: '2026-10-07', accountingReason: null });
});

test('a round that ended in the next month may be booked to the last day of the old one, with a reason', () => {
  expect(check('2026-10-02T15:00:00Z', '2026-09-30', 'Round of September')).toEqual({ localDate: '2026-10-02', accountingDate: '2026-09-30', accountingReason: 'Round of September' });
  expect(codes(check('2026-10-02T15:00:00Z', '2026-09-30'))).toEqual(['accountingReason missing']);
});

test('a reason for the day itself is not kept', () => {
  expect(check('2026-10-02T15:00:00Z', '2026-10-02', 'None needed')).toMatchObject({ accountingReason: null });
});

test('nothing is collected ahead of time, a clock a little fast forgiven', () => {
  expect(codes(check('2026-10-10T17:04:59Z'))).toEqual([]);
  expect(codes(check('2026-10-10T17:05:01Z'))).toEqual(['happenedAt in-the-future']);
  expect(codes(check('2026-10-10T15:00:00Z', '2026-10-11', 'Tomorrow'))).toEqual(['accountingDate in-the-future']);
});

test('today is today at the site', () => {
  // In Chicago it is still the 9th.
  const midnight = new Date('2026-10-10T04:30:00Z');
  expect(codes(check('2026-10-09T15:00:00Z', '2026-10-10', 'By the clock of the server', midnight))).toEqual(['accountingDate in-the-future']);
});

test('a visit is booked at most a month away', () => {
  expect(codes(check('2026-10-02T15:00:00Z', '2026-09-01', 'A month before'))).toEqual([]);
  expect(codes(check('2026-10-02T15:00:00Z', '2026-08-31', 'Longer ago'))).toEqual(['accountingDate too-far-away']);
});

test('a visit is made while the site is open, the day of closing included', () => {
  expect(codes(check('2025-12-31T18:00:00Z'))).toEqual(['happenedAt before-site-opened']);
  const later = new Date('2026-12-01T00:00:00Z');
  expect(codes(check('2026-10-20T18:00:00Z', undefined, undefined, later))).toEqual([]);
  expect(codes(check('2026-10-21T18:00:00Z', undefined, undefined, later))).toEqual(['happenedAt after-site-closed']);
});

test('a year that is a slip of the pen is no visit', () => {
  expect(codes(check('1026-10-02T15:00:00Z'))).toEqual(['happenedAt out-of-range']);
});
