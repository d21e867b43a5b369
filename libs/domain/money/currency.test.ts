import { currencyCodes, currencyDigits, isCurrencyCode } from '#domain/money/currency';

// ISO 4217 exponents as published by the maintenance agency.
test.each(['BHD', 'IQD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND'] as const)('%s has three digits', (code) => {
  expect(currencyDigits(code)).toBe(3);
});

test.each(['JPY', 'KRW', 'ISK', 'CLP', 'VND', 'XAF', 'XOF', 'XPF'] as const)('%s has no minor unit', (code) => {
  expect(currencyDigits(code)).toBe(0);
});

test.each(['USD', 'EUR', 'GBP', 'CAD'] as const)('%s has two digits', (code) => {
  expect(currencyDigits(code)).toBe(2);
});

test('every code is listed once and is three capital letters', () => {
  expect(new Set(currencyCodes).size).toBe(currencyCodes.length);
  expect(currencyCodes.every((code) => /^[A-Z]{3}$/.test(code))).toBe(true);
});

test.each(['usd', 'XAU', 'XXX', 'US', '', 'DEM'])('%p is no currency that a box holds', (text) => {
  expect(isCurrencyCode(text)).toBe(false);
});

test('the digits of an unknown currency are a mistake of the caller', () => {
  expect(() => currencyDigits('XXX' as never)).toThrow('Unknown currency XXX');
});
