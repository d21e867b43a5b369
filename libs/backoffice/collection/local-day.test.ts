import { localDay } from './local-day';

const dayOf = (instant: string, timeZone: string) => localDay({ instant: new Date(instant), timeZone });

describe('local day', () => {
  it('is the day at the place, not at the server', () => {
    expect(dayOf('2026-10-01T03:30:00Z', 'America/Chicago')).toBe('2026-09-30');
    expect(dayOf('2026-10-01T03:30:00Z', 'Europe/Berlin')).toBe('2026-10-01');
    expect(dayOf('2026-09-30T22:30:00Z', 'Europe/Berlin')).toBe('2026-10-01');
  });

  it('turns at midnight of the place to the second', () => {
    expect(dayOf('2026-07-01T03:59:59.999Z', 'America/New_York')).toBe('2026-06-30');
    expect(dayOf('2026-07-01T04:00:00Z', 'America/New_York')).toBe('2026-07-01');
  });

  // Time zone database: America/New_York leaves daylight saving on the first Sunday of November at 02:00.
  it('gives one day to both runs of an hour that daylight saving repeats', () => {
    expect(dayOf('2026-11-01T01:30:00-04:00', 'America/New_York')).toBe('2026-11-01');
    expect(dayOf('2026-11-01T01:30:00-05:00', 'America/New_York')).toBe('2026-11-01');
  });

  // Time zone database: America/Havana repeats the hour after midnight (01:00 becomes 00:00) on 1 November 2026.
  it('keeps the second run of a repeated hour after midnight on the same day', () => {
    expect(dayOf('2026-11-01T00:30:00-04:00', 'America/Havana')).toBe('2026-11-01');
    expect(dayOf('2026-11-01T00:30:00-05:00', 'America/Havana')).toBe('2026-11-01');
    expect(dayOf('2026-10-31T23:59:59-04:00', 'America/Havana')).toBe('2026-10-31');
  });

  // Time zone database: America/Sao_Paulo went from midnight back to 23:00 of the evening before on 17 February 2019.
  it('gives the evening before to a repeated hour before midnight', () => {
    expect(dayOf('2019-02-16T23:30:00-02:00', 'America/Sao_Paulo')).toBe('2019-02-16');
    expect(dayOf('2019-02-16T23:30:00-03:00', 'America/Sao_Paulo')).toBe('2019-02-16');
    expect(dayOf('2019-02-17T00:30:00-03:00', 'America/Sao_Paulo')).toBe('2019-02-17');
  });

  it('knows no day outside the years of the calendar', () => {
    expect(dayOf('1850-01-01T12:00:00Z', 'UTC')).toBeNull();
    expect(dayOf('2250-01-01T12:00:00Z', 'UTC')).toBeNull();
  });
});
