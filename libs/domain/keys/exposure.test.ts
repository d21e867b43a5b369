import { cashExposed } from './exposure';

// Worked by hand: 700.00 in 28 days are 25.00 a day.
test('what a box took per day lately, for each day since it was emptied', () => {
  expect(cashExposed({ takenMinor: 70_000n, days: 28, daysSince: 9 })).toEqual({ exposedMinor: 22_500n, perDayMinor: 2_500n });
});

test('the days are multiplied before anything is rounded', () => {
  // 1.00 in 3 days: 0.33 a day, but 1.00 in three days and 10.00 in thirty.
  expect(cashExposed({ takenMinor: 100n, days: 3, daysSince: 30 })).toEqual({ exposedMinor: 1_000n, perDayMinor: 33n });
});

test('a box emptied today holds nothing yet, and one without a day of counts cannot be estimated', () => {
  expect(cashExposed({ takenMinor: 100n, days: 3, daysSince: 0 })?.exposedMinor).toBe(0n);
  expect(cashExposed({ takenMinor: 100n, days: 3, daysSince: -1 })?.exposedMinor).toBe(0n);
  expect(cashExposed({ takenMinor: 100n, days: 0, daysSince: 5 })).toBeNull();
});
