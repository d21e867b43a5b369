import fc from 'fast-check';
import { addAmounts, amount, formatMinor, negateAmount, parseMinor, subtractAmounts, type Amount } from '#domain/money/amount';
import { currencyCodes } from '#domain/money/currency';

test('amounts of one currency add, subtract and negate', () => {
  expect(addAmounts(amount('USD', 150n), amount('USD', 25n))).toEqual({ currency: 'USD', minor: 175n });
  expect(subtractAmounts(amount('USD', 150n), amount('USD', 25n))).toEqual({ currency: 'USD', minor: 125n });
  expect(negateAmount(amount('JPY', 3n))).toEqual({ currency: 'JPY', minor: -3n });
});

test('two known currencies do not compile together', () => {
  // @ts-expect-error dollars and euros cannot be added
  expect(() => addAmounts(amount('USD', 1n), amount('EUR', 1n))).toThrow('USD and EUR');
});

test('two currencies that the types do not know throw', () => {
  const dollars: Amount = amount('USD', 1n);
  const euros: Amount = amount('EUR', 1n);
  expect(() => subtractAmounts(dollars, euros)).toThrow('USD and EUR');
});

test.each([
  ['123.45', 'USD', 12_345n],
  ['-0.05', 'USD', -5n],
  ['1.234', 'KWD', 1_234n],
  ['500', 'JPY', 500n],
  ['0.00', 'EUR', 0n],
  ['10000000000000.00', 'USD', 1_000_000_000_000_000n],
] as const)('%s %s', (text, currency, minor) => {
  expect(parseMinor(text, currency)).toEqual({ ok: true, minor });
  expect(formatMinor(minor, currency)).toBe(text);
});

test.each([
  ['1.2', 'USD', 'wrong-digits'],
  ['1.234', 'USD', 'wrong-digits'],
  ['1', 'USD', 'wrong-digits'],
  ['1.0', 'JPY', 'wrong-digits'],
  ['01.00', 'USD', 'not-a-number'],
  ['1,00', 'USD', 'not-a-number'],
  ['-0.00', 'USD', 'not-a-number'],
  ['1e2', 'JPY', 'not-a-number'],
  ['', 'JPY', 'not-a-number'],
  ['10000000000000.01', 'USD', 'too-large'],
  ['99999999999999999999', 'JPY', 'too-large'],
] as const)('%p %s is refused: %s', (text, currency, problem) => {
  expect(parseMinor(text, currency)).toEqual({ ok: false, problem });
});

test('what is written is read back', () => {
  fc.assert(
    fc.property(fc.bigInt({ min: -(10n ** 15n), max: 10n ** 15n }), fc.constantFrom(...currencyCodes), (minor, currency) => {
      expect(parseMinor(formatMinor(minor, currency), currency)).toEqual({ ok: true, minor });
    }),
  );
});
