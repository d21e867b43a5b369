import { associationsOf } from './attribution';

test('the same machines with and without the person, by the exact test', () => {
  // Fisher's tea: 3 of 4 against 1 of 4, two-sided 17/35.
  const [only] = associationsOf([{ personId: 'a', held: { short: 3, intervals: 4 }, all: { short: 4, intervals: 8 } }]);
  expect(only).toMatchObject({ held: { short: 3, notShort: 1 }, notHeld: { short: 1, notShort: 3 } });
  expect(only?.chance).toBeCloseTo(17 / 35, 9);
  expect(only?.correctedChance).toBe(only?.chance);
});

test('asking it of several people makes each answer weaker, and who cannot be compared does not count', () => {
  const people = [
    { personId: 'much', held: { short: 9, intervals: 10 }, all: { short: 10, intervals: 40 } },
    { personId: 'little', held: { short: 1, intervals: 10 }, all: { short: 10, intervals: 40 } },
    { personId: 'always', held: { short: 10, intervals: 40 }, all: { short: 10, intervals: 40 } },
    { personId: 'never', held: { short: 0, intervals: 0 }, all: { short: 10, intervals: 40 } },
  ];
  const found = associationsOf(people);
  expect(found.map(({ personId }) => personId)).toEqual(['much', 'little']);
  expect(found[0]?.correctedChance).toBeCloseTo((found[0]?.chance ?? 0) * 2, 12);
  expect(found[1]?.chance).toBeGreaterThan(0.05);
});
