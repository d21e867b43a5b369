import { decimal } from '#domain/money/decimal';
import { defaultTolerance, isOutOfTolerance, type Tolerance } from './tolerance';

const usual: Tolerance = { amountMinor: 2500n, percent: decimal('3'), joinedBy: 'and', percentOf: 'metered', limit: 'more-than' };
const ofCounted: Tolerance = { ...usual, percentOf: 'counted' };
const florida: Tolerance = { amountMinor: 10000n, percent: decimal('2'), joinedBy: 'or', percentOf: 'metered', limit: 'more-than' };

// 25 CFR 542.13(m)(5), base metered as in 13 Miss. Code R. 8-4.14, base counted as in 542.13(m)(7); Florida ch. 75-14.
test.each([
  [50000n, 47500n, false, false, true],
  [50000n, 47400n, true, true, true],
  [100000n, 97000n, false, true, true],
  [1000000n, 988000n, false, false, true],
])('metered %s, counted %s', (meteredMinor, countedMinor, metered, counted, either) => {
  const figures = { meteredMinor, countedMinor };
  expect([usual, ofCounted, florida].map((tolerance) => isOutOfTolerance(tolerance, figures))).toEqual([metered, counted, either]);
});

test('an overage is judged as a shortage is', () => {
  expect(isOutOfTolerance(usual, { meteredMinor: 50000n, countedMinor: 52600n })).toBe(true);
  expect(isOutOfTolerance(usual, { meteredMinor: 50000n, countedMinor: 52500n })).toBe(false);
});

test('at least counts the limit itself, and no difference is never out', () => {
  const atLeast: Tolerance = { ...usual, limit: 'at-least' };
  expect(isOutOfTolerance(atLeast, { meteredMinor: 50000n, countedMinor: 47500n })).toBe(true);
  expect(isOutOfTolerance({ ...atLeast, amountMinor: 0n, percent: null }, { meteredMinor: 0n, countedMinor: 0n })).toBe(false);
});

test('a percentage is exact beyond what binary fractions hold', () => {
  // 3.000000001 % of 10^15 minor units is 30,000,000,010,000: one unit more is out, that itself is not.
  const fine: Tolerance = { ...usual, amountMinor: null, percent: decimal('3.000000001') };
  const meteredMinor = 10n ** 15n;
  expect(isOutOfTolerance(fine, { meteredMinor, countedMinor: meteredMinor - 30_000_000_010_000n })).toBe(false);
  expect(isOutOfTolerance(fine, { meteredMinor, countedMinor: meteredMinor - 30_000_000_010_001n })).toBe(true);
});

test('cash where nothing was metered is out by any percentage, and with the amount by the amount', () => {
  expect(isOutOfTolerance({ ...usual, amountMinor: null }, { meteredMinor: 0n, countedMinor: 1n })).toBe(true);
  expect(isOutOfTolerance(usual, { meteredMinor: 0n, countedMinor: 2500n })).toBe(false);
});

test('a rule without any test lets everything pass, and only USD has one by default', () => {
  const figures = { meteredMinor: 100000n, countedMinor: 0n };
  expect(isOutOfTolerance({ ...usual, amountMinor: null, percent: null }, figures)).toBe(false);
  expect(isOutOfTolerance({ ...usual, amountMinor: null, percent: null, joinedBy: 'or' }, figures)).toBe(false);
  expect(defaultTolerance('USD')).toEqual(usual);
  expect(defaultTolerance('JPY')).toBeNull();
});
