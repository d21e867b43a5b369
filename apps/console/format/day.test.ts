import { dayIn, dayOf, formatDay, formatInstant, formatInstantAt, formatMonthFrom, formatPeriod, formatPeriodAlone, formatPeriodShort } from './day';

describe('days and periods', () => {
  it('names a calendar month, whoever reads it wherever', () => {
    const october = { startsOn: '2026-10-01', endsBefore: '2026-11-01' };
    expect(formatPeriod(october, 'en-GB')).toBe('October 2026');
    expect(formatPeriodShort(october, 'en-GB')).toBe('October');
    // Spanish writes months small, but no line begins small (Real Academia Española, Ortografía, on months and on the beginning of a text).
    expect([formatPeriod(october, 'es-ES'), formatPeriodAlone(october, 'es-ES'), formatPeriodAlone(october, 'de-DE')]).toEqual(['octubre de 2026', 'Octubre de 2026', 'Oktober 2026']);
    expect(formatPeriod({ startsOn: '2026-12-01', endsBefore: '2027-01-01' }, 'en-GB')).toBe('December 2026');
  });

  it('shows the last day that belongs to a stretch, not the first after it', () => {
    const four = { startsOn: '2026-10-05', endsBefore: '2026-11-02' };
    expect(formatPeriod(four, 'en-GB').replaceAll('\u2009', ' ')).toBe('5 Oct – 1 Nov 2026');
  });

  it('does not take four weeks in February for a month unless they are one', () => {
    expect(formatPeriod({ startsOn: '2027-02-01', endsBefore: '2027-03-01' }, 'en-GB')).toBe('February 2027');
    expect(formatPeriod({ startsOn: '2028-02-01', endsBefore: '2028-02-29' }, 'en-GB')).toContain('28 Feb 2028');
  });

  it('keeps a day the same day in every time zone', () => {
    expect(formatDay('2026-10-31', 'en-GB')).toBe('31 October 2026');
    expect(dayOf(new Date(2026, 0, 5, 23, 59))).toBe('2026-01-05');
  });

  it('tells the day of an office, whatever day the reader has', () => {
    const instant = new Date('2026-02-01T05:30:00Z');
    expect([dayIn(instant, 'America/Chicago'), dayIn(instant, 'Europe/Berlin'), dayIn(instant, 'Asia/Tokyo')]).toEqual(['2026-01-31', '2026-02-01', '2026-02-01']);
  });
});

it('names the month that begins on a day, among calendar months alone', () => {
  const december = { startsOn: '2026-12-01', endsBefore: '2027-01-01' };
  expect(formatMonthFrom('2026-11-01', december, 'en-GB')).toBe('November 2026');
  expect(formatMonthFrom('2026-12-01', december, 'en-GB')).toBe('December 2026');
  expect(formatMonthFrom('2026-11-16', december, 'en-GB')).toBeNull();
  // Four weeks from 28 September are not September.
  expect(formatMonthFrom('2026-09-28', { startsOn: '2026-10-26', endsBefore: '2026-11-23' }, 'en-GB')).toBeNull();
  expect(formatMonthFrom('2026-06-01', { startsOn: '2026-06-29', endsBefore: '2026-07-27' }, 'en-GB')).toBeNull();
});

it('tells a moment by the clock of its place, and names the zone where the reader has another', () => {
  const instant = '2026-07-14T08:00:00Z';
  const plain = (text: string) => text.replaceAll(/\s/g, ' ');
  const own = plain(formatInstant(instant, 'en-US'));
  const named = (there: string, zone: string) => (there === own ? there : `${there} ${zone}`);
  // Summer time in the European Union is two hours ahead of UTC: Directive 2000/84/EC. Tokyo keeps none.
  expect(plain(formatInstantAt(instant, 'en-US', 'Europe/Berlin'))).toBe(named('Jul 14, 2026, 10:00 AM', 'GMT+2'));
  expect(plain(formatInstantAt(instant, 'en-US', 'Asia/Tokyo'))).toBe(named('Jul 14, 2026, 5:00 PM', 'GMT+9'));
  expect(formatInstantAt(instant, 'en-US', new Intl.DateTimeFormat().resolvedOptions().timeZone)).toBe(formatInstant(instant, 'en-US'));
  expect(formatInstantAt(instant, 'en-US', undefined)).toBe(formatInstant(instant, 'en-US'));
});
