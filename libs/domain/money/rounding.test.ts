import { rational } from '#domain/money/rational';
import { divideHalfUp, roundHalfUp } from '#domain/money/rounding';

// Streamlined Sales and Use Tax Agreement s. 324 (R.I. Gen. Laws 44-18.1-25): the third decimal over 4 rounds up.
test.each([
  ['0.004', 4n, 0n],
  ['0.005', 5n, 1n],
  ['2.345', 2345n, 235n],
])('%s in cents', (_text, thousandths, cents) => {
  expect(divideHalfUp({ dividend: thousandths, divisor: 10n })).toBe(cents);
});

test('negative amounts mirror positive ones', () => {
  expect(divideHalfUp({ dividend: -5n, divisor: 10n })).toBe(-1n);
  expect(divideHalfUp({ dividend: -4n, divisor: 10n })).toBe(0n);
  expect(roundHalfUp(rational(-3n, 2n))).toBe(-2n);
});

test('odd divisors have no tie to decide', () => {
  expect(divideHalfUp({ dividend: 10n, divisor: 7n })).toBe(1n);
  expect(divideHalfUp({ dividend: 11n, divisor: 7n })).toBe(2n);
});

test('a divisor of zero or below is a mistake of the caller', () => {
  expect(() => divideHalfUp({ dividend: 1n, divisor: 0n })).toThrow('divisor above zero');
  expect(() => divideHalfUp({ dividend: 1n, divisor: -1n })).toThrow('divisor above zero');
});
