import { addRationals, compareRationals, multiplyRationals, rational } from '#domain/money/rational';

test('a fraction is held in lowest terms with a positive denominator', () => {
  expect(rational(6n, -4n)).toEqual({ numerator: -3n, denominator: 2n });
  expect(rational(0n, 7n)).toEqual({ numerator: 0n, denominator: 1n });
  expect(rational(5n)).toEqual({ numerator: 5n, denominator: 1n });
  expect(rational(3n, -3n)).toEqual({ numerator: -1n, denominator: 1n });
  expect(rational(-2n, -8n)).toEqual({ numerator: 1n, denominator: 4n });
});

test('a denominator of zero is refused', () => {
  expect(() => rational(1n, 0n)).toThrow('denominator other than zero');
  expect(() => rational(0n, 0n)).toThrow('denominator other than zero');
});

test('sums and products are exact', () => {
  expect(addRationals(rational(1n, 28n), rational(1n, 31n))).toEqual(rational(59n, 868n));
  expect(addRationals(rational(1n, 7n), rational(6n, 7n))).toEqual(rational(1n));
  expect(multiplyRationals(rational(2n, 3n), rational(3n, 4n))).toEqual(rational(1n, 2n));
});

test('comparison is by value', () => {
  expect(compareRationals(rational(1n, 3n), rational(333n, 1000n))).toBe(1);
  expect(compareRationals(rational(-1n, 3n), rational(1n, 3n))).toBe(-1);
  expect(compareRationals(rational(2n, 4n), rational(1n, 2n))).toBe(0);
});
