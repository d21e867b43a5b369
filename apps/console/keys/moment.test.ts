import { instantFrom, toInstant, toInstantIn, toLocal, toLocalIn } from './moment';

test('a local time and its instant lead to each other', () => {
  const instant = toInstant('2026-03-01T08:00');
  expect(toLocal(instant)).toBe('2026-03-01T08:00');
  expect(toInstant('')).toBeUndefined();
  expect(toInstant('2026-03')).toBeUndefined();
  expect(toInstant('2026-13-01T08:00')).toBeUndefined();
  expect(toLocal(undefined)).toBe('');
});

test('nonsense in the address is left out', () => {
  const read = (text: string) => instantFrom(new URLSearchParams({ at: text }), 'at');
  expect(read('2026-03-01T08:00:00.000Z')).toBe('2026-03-01T08:00:00.000Z');
  expect(read('yesterday')).toBeUndefined();
  expect(read('2026-99-01T08:00')).toBeUndefined();
  expect(instantFrom(new URLSearchParams(), 'at')).toBeUndefined();
});

// Changes of the clock: United States, 15 U.S.C. 260a (second Sunday of March, first of November, at 2 o'clock); European Union, Directive 2000/84/EC (last Sundays, 01:00 UTC).
test.each([
  ['2026-03-01T08:00', 'America/Chicago', '2026-03-01T14:00:00.000Z'],
  ['2026-07-01T08:00', 'America/Chicago', '2026-07-01T13:00:00.000Z'],
  ['2026-07-01T23:30', 'Europe/Berlin', '2026-07-01T21:30:00.000Z'],
  ['2026-03-08T01:59', 'America/Chicago', '2026-03-08T07:59:00.000Z'],
  ['2026-03-08T02:30', 'America/Chicago', '2026-03-08T08:30:00.000Z'],
  ['2026-03-08T03:00', 'America/Chicago', '2026-03-08T08:00:00.000Z'],
  ['2026-03-29T03:00', 'Europe/Berlin', '2026-03-29T01:00:00.000Z'],
  ['2026-11-01T01:30', 'America/Chicago', '2026-11-01T06:30:00.000Z'],
  ['2026-11-01T02:00', 'America/Chicago', '2026-11-01T08:00:00.000Z'],
  ['2026-03-01T00:15', 'Asia/Kathmandu', '2026-02-28T18:30:00.000Z'],
])('%s by the clock of %s is %s, wherever the reader sits', (local, timeZone, instant) => expect(toInstantIn(local, timeZone)).toBe(instant));

test.each(['', '2026-03', '2026-13-01T08:00'])('%j is no moment anywhere', (local) => expect(toInstantIn(local, 'UTC')).toBeUndefined());

test.each(['America/Chicago', 'Europe/Berlin', 'Asia/Kathmandu'])('a moment as the clock of %s shows it is that moment again', (timeZone) => {
  const instant = '2026-07-14T08:05:00.000Z';
  expect(toInstantIn(toLocalIn(instant, timeZone), timeZone)).toBe(instant);
});

it('shows a moment by the clock of its place, and by the reader’s where nobody knows the place', () => {
  expect([toLocalIn('2026-07-14T08:05:00Z', 'Europe/Berlin'), toLocalIn('2026-01-14T08:05:00Z', 'Europe/Berlin')]).toEqual(['2026-07-14T10:05', '2026-01-14T09:05']);
  expect(toLocalIn('2026-07-14T08:05:00Z', undefined)).toBe(toLocal('2026-07-14T08:05:00Z'));
});
