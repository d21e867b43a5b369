import { localDate } from '#domain/calendar/local-date';
import { placementOn, type Standing } from './standing';

const placements: readonly Standing[] = [
  { id: 'first', siteId: 'here', placedOn: localDate('2026-02-01'), removedOn: localDate('2026-10-10') },
  { id: 'second', siteId: 'there', placedOn: localDate('2026-10-10'), removedOn: null },
];
const on = (siteId: string, day: string, removal = false) => placementOn({ placements, siteId, day: localDate(day), removal })?.id;

test('a count belongs to where the machine stands', () => {
  expect(on('here', '2026-01-31')).toBeUndefined();
  expect(on('here', '2026-02-01')).toBe('first');
  expect(on('here', '2026-10-09')).toBe('first');
  expect(on('there', '2026-10-09')).toBeUndefined();
  expect(on('there', '2030-01-01')).toBe('second');
});

test('on the day of a move the removal count belongs to the site that is left, another count to the new one', () => {
  expect(on('here', '2026-10-10', true)).toBe('first');
  expect(on('here', '2026-10-10')).toBeUndefined();
  expect(on('there', '2026-10-10')).toBe('second');
});

test('a removal is counted on the day of the removal and on no other', () => {
  expect(on('here', '2026-10-09', true)).toBeUndefined();
  expect(on('there', '2026-10-10', true)).toBeUndefined();
});
