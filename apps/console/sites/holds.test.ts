import { holdsOf } from './holds';

const versions = ['2026-07-01', '2026-04-01', '2026-01-01'].map((effectiveFrom) => ({ effectiveFrom }));
const holds = (today: string, endedOn: string | null = null) => versions.map(({ effectiveFrom }) => holdsOf(effectiveFrom, { versions, endedOn, today }));

test('terms hold from their day until others follow', () => {
  expect(holds('2026-03-31')).toEqual(['later', 'later', 'now']);
  expect(holds('2026-04-01')).toEqual(['later', 'now', 'before']);
  expect(holds('2026-12-31')).toEqual(['now', 'before', 'before']);
});

test('no terms of an agreement that has ended are in force, and none that would begin after its end come into force', () => {
  expect(holds('2026-12-31', '2026-10-01')).toEqual(['before', 'before', 'before']);
  expect(holds('2026-10-01', '2026-10-01')).toEqual(['before', 'before', 'before']);
  expect(holds('2026-09-30', '2026-10-01')).toEqual(['now', 'before', 'before']);
  expect(holds('2026-03-31', '2026-07-01')).toEqual(['before', 'later', 'now']);
});
