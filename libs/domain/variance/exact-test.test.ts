import fc from 'fast-check';
import { chanceAsNumber, exactTest, exactTestWithin, holm, type FourFold } from './exact-test';

const table = (a: number, b: number, c: number, d: number): FourFold => ({ first: { withTrait: a, without: b }, second: { withTrait: c, without: d } });
const chance = (...cells: [number, number, number, number]): number => chanceAsNumber(exactTest(table(...cells)));

test('Fisher’s tea: 17/35', () => {
  const { ways, of } = exactTest(table(3, 1, 1, 3));
  expect(ways * 35n).toBe(of * 17n);
});

test('Stokes, Davis and Koch: 10, 2, 2, 4 gives 0.1071, the table of its probabilities 0.0001 to 0.4', () => {
  expect(chance(10, 2, 2, 4)).toBeCloseTo(0.1071, 3);
  // From the printed probabilities of the neighbouring tables.
  expect(chance(12, 0, 0, 6)).toBeCloseTo(0.0001, 4);
  expect(Math.abs(chance(11, 1, 1, 5) - (0.0039 + 0.0001))).toBeLessThan(0.0001);
  expect(chance(8, 4, 4, 2)).toBe(1);
});

test('tables that are exactly as likely count, on both sides', () => {
  // Symmetric margins: 5 of 6 against 1 of 6 is as likely as the mirror image, so twice one side: 2 x 37 / 924.
  const { ways, of } = exactTest(table(5, 1, 1, 5));
  expect([ways, of]).toEqual([74n, 924n]);
});

test('what does not say anything is certain: an empty group, nobody with the trait', () => {
  expect(chance(0, 0, 3, 4)).toBe(1);
  expect(chance(0, 5, 0, 7)).toBe(1);
  expect(chance(0, 0, 0, 0)).toBe(1);
});

test('the order of groups and of traits does not matter', () => {
  expect(exactTest(table(7, 12, 1, 30))).toEqual(exactTest(table(1, 30, 7, 12)));
  expect(chance(12, 7, 30, 1)).toBe(chance(7, 12, 1, 30));
});

test('thousands of intervals are no strain', () => {
  expect(chance(60, 940, 300, 14700)).toBeLessThan(1e-9);
  expect(chance(20, 980, 300, 14700)).toBe(1);
});

test('what is all but impossible stays above zero, and as exact as the fraction', () => {
  // 40 of 40 against 0 of 40: two of the 80!/(40! 40!) ways, 1.075e23.
  expect(chance(40, 0, 0, 40) / (2 / 107507208733336176461620)).toBeCloseTo(1, 12);
  expect(chance(500, 0, 0, 500)).toBeGreaterThan(0);
});

test('Holm: each times those not yet passed, never falling, at most 1', () => {
  // Holm's procedure on 0.01, 0.04, 0.03, 0.005: 0.03, 0.06, 0.06, 0.02 (worked by hand from the rule; so in R's manual of p.adjust, from memory).
  const corrected = holm([0.01, 0.04, 0.03, 0.005]);
  [0.03, 0.06, 0.06, 0.02].forEach((value, place) => {
    expect(corrected[place]).toBeCloseTo(value, 12);
  });
  expect(holm([0.9, 0.8])).toEqual([1, 1]);
  expect(holm([])).toEqual([]);
});

test('one table asked alone or within itself is the same question', () => {
  const cell = fc.nat(12);
  fc.assert(
    fc.property(cell, cell, cell, cell, (a, b, c, d) => {
      expect(exactTestWithin([{ ...table(a, b, c, d), times: 1 }])).toBeCloseTo(chance(a, b, c, d), 6);
    }),
    { numRuns: 300 },
  );
});

test('within two tables: every pair of outcomes counted by hand', () => {
  // Fisher's tea twice: sums 0 to 8 of two tables with 1, 16, 36, 16, 1 of 70 ways. A sum of 6 has 36 + 16 x 16 + 36 = 328 of 4900,
  // one of 7 has 32, one of 8 has 1; the other side is the mirror image: 2 x 361 / 4900.
  expect(exactTestWithin([{ ...table(3, 1, 1, 3), times: 2 }])).toBeCloseTo(722 / 4900, 9);
  expect(exactTestWithin([])).toBe(1);
});
