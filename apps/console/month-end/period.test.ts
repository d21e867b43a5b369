import { localDate } from '#domain/calendar/local-date';
import type { PeriodRow } from '../api/shapes';
import { neighbours, pathOfPeriod, periodFrom, periodToBeginWith } from './period';

const month = (startsOn: string, endsBefore: string): PeriodRow => ({ cycle: 'month', startsOn: localDate(startsOn), endsBefore: localDate(endsBefore), closeId: null, state: 'open' });
const november = month('2026-11-01', '2026-12-01');
const october = month('2026-10-01', '2026-11-01');
const september = month('2026-09-01', '2026-10-01');
const week: PeriodRow = { ...month('2026-10-05', '2026-10-12'), cycle: 'week' };

describe('which period the address means', () => {
  it('reads what it wrote', () => {
    expect(pathOfPeriod(october)).toBe('month-end/month/2026-10-01');
    expect(periodFrom({ cycle: 'month', startsOn: '2026-10-01' })).toEqual({ cycle: 'month', startsOn: '2026-10-01' });
  });

  it('takes nothing else', () => {
    expect(periodFrom({ cycle: 'year', startsOn: '2026-10-01' })).toBeNull();
    expect(periodFrom({ cycle: 'month', startsOn: 'soon' })).toBeNull();
    expect(periodFrom({})).toBeNull();
  });
});

describe('which period the month end begins with', () => {
  it('is the newest that is over', () => {
    expect(periodToBeginWith([november, october, september], '2026-11-25')).toBe(october);
    expect(periodToBeginWith([november, october], '2026-11-01')).toBe(october);
    expect(periodToBeginWith([november, october], '2026-12-01')).toBe(november);
  });

  it('is the newest if none is over, and none if there is none', () => {
    expect(periodToBeginWith([november], '2026-11-25')).toBe(november);
    expect(periodToBeginWith([], '2026-11-25')).toBeNull();
  });
});

describe('going back and forth', () => {
  it('stays in the cycle', () => {
    expect(neighbours([november, week, october, september], october)).toEqual({ earlier: september, later: november });
    expect(neighbours([november, week, october], october)).toEqual({ earlier: null, later: november });
    expect(neighbours([november, october], { cycle: 'month', startsOn: '2020-01-01' })).toEqual({ earlier: null, later: null });
  });
});
