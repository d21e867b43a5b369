import { localDate } from '#domain/calendar/local-date';
import { checkCounts, checkDays, standsElsewhere } from './check-days';
import type { CountedDays } from './placement.sql';

const fields = { placedOn: 'placedOn', removedOn: 'removedOn' };
const allowed = {
  machine: { tag: 'M-1', acquired_on: '2026-02-01', disposed_on: '2026-12-01' },
  site: { code: 'S-1', opened_on: '2026-03-01', closed_on: '2026-11-01' },
};
const codes = (placedOn: string, removedOn: string | null) => checkDays({ placedOn, removedOn, allowed, fields }).map(({ path, code }) => [path[0], code]);

describe('days of a placement', () => {
  it('may touch opening and closing', () => {
    expect(codes('2026-03-01', '2026-11-01')).toEqual([]);
  });

  it('begin after acquisition and opening', () => {
    expect(codes('2026-01-31', '2026-05-01')).toEqual([['placedOn', 'before-acquisition'], ['placedOn', 'before-site-opened']]);
    expect(codes('2026-02-28', '2026-05-01')).toEqual([['placedOn', 'before-site-opened']]);
  });

  it('end when the site closes and when the machine is gone', () => {
    expect(codes('2026-05-01', null)).toEqual([['removedOn', 'after-disposal'], ['removedOn', 'after-site-closed']]);
    expect(codes('2026-05-01', '2026-11-02')).toEqual([['removedOn', 'after-site-closed']]);
    expect(codes('2026-12-01', null)).toEqual([['placedOn', 'after-disposal'], ['placedOn', 'after-site-closed']]);
  });

  it('are at least one', () => {
    expect(codes('2026-05-01', '2026-05-01')).toEqual([['removedOn', 'not-after-placing']]);
  });

  it('name the site where the machine stands', () => {
    const other = { id: '1', machine_id: 'm', machine_tag: 'M-1', site_id: 's', site_code: 'S-7', time_zone: 'America/Chicago', placed_on: localDate('2026-01-05'), removed_on: null, revision: 1 };
    expect(standsElsewhere({ other, field: 'placedOn' })).toMatchObject({ path: ['placedOn'], code: 'stands-elsewhere', message: expect.stringContaining('S-7') });
  });
});

describe('counts of a placement', () => {
  const check = (placedOn: string, removedOn: string | null, counted: CountedDays) =>
    checkCounts({ placedOn, removedOn, counted, fields }).map(({ code }) => code);
  const unreported = { first_reported: null, last_reported: null };
  const plain = { first: '2026-05-10', last: '2026-06-10', removal: null, ...unreported };

  it('lie within its days', () => {
    expect(check('2026-05-10', null, plain)).toEqual([]);
    expect(check('2026-05-11', null, plain)).toEqual(['counted-earlier']);
    expect(check('2026-05-10', '2026-06-11', plain)).toEqual([]);
  });

  it('on the day of removal are removal counts', () => {
    expect(check('2026-05-10', '2026-06-10', plain)).toEqual(['counted-later']);
    expect(check('2026-05-10', '2026-06-09', plain)).toEqual(['counted-later']);
    expect(check('2026-05-10', '2026-06-10', { ...plain, removal: '2026-06-10' })).toEqual([]);
  });

  it('keep the day of removal that was counted', () => {
    expect(check('2026-05-10', null, { ...plain, removal: '2026-06-10' })).toEqual(['removal-counted']);
    expect(check('2026-05-10', '2026-06-12', { ...plain, removal: '2026-06-10' })).toEqual(['removal-counted']);
  });

  it('leave room for card takings up to the day of removal', () => {
    const reported = { first: null, last: null, removal: null, first_reported: '2026-05-12', last_reported: '2026-06-10' };
    expect(check('2026-05-12', '2026-06-10', reported)).toEqual([]);
    expect(check('2026-05-13', '2026-06-09', reported)).toEqual(['reported-earlier', 'reported-later']);
  });

  it('may be missing', () => {
    expect(check('2026-05-10', '2026-05-11', { first: null, last: null, removal: null, ...unreported })).toEqual([]);
  });
});
