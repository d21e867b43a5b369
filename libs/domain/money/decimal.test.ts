import { decimal, fromBillionths, isDecimal, toBillionths, type Decimal } from '#domain/money/decimal';

test.each([
  ['0', 0n],
  ['4.5', 4_500_000_000n],
  ['-4.5', -4_500_000_000n],
  ['100', 100_000_000_000n],
  ['33.333333333', 33_333_333_333n],
  ['0.000000001', 1n],
  ['-0.5', -500_000_000n],
])('%s is %d billionths and back', (text, billionths) => {
  expect(toBillionths(decimal(text))).toBe(billionths);
  expect(fromBillionths(billionths)).toBe(text);
});

test.each(['', '1.', '.5', '01', '1.50', '1e3', '+1', '-0', '1,5', '0.0000000001', ' 1', 'NaN', '1234567890123456789'])('%p is refused', (text) => {
  expect(isDecimal(text)).toBe(false);
  expect(() => decimal(text)).toThrow('Not a plain decimal');
});

test('text that was not checked is no decimal for the compiler', () => {
  // @ts-expect-error a rate must be checked first
  const unchecked: Decimal = '4.5';
  expect(unchecked).toBe('4.5');
});
