import fc from 'fast-check';
import { formatAmount } from './money';
import { readTypedAmount, readTypedGrams } from './typed-amount';

const read = (text: string, locale = 'en-US', currency = 'USD') => readTypedAmount({ text, currency, locale })?.amount ?? null;

describe('an amount as it is typed', () => {
  it('is read with the marks of the reader’s language', () => {
    expect(read('1,234.5')).toBe('1234.50');
    expect(read('1.234,50', 'de-DE', 'EUR')).toBe('1234.50');
    expect(read('1234,5', 'de-DE', 'EUR')).toBe('1234.50');
    expect(read('1 234,50', 'fr-FR', 'EUR')).toBe('1234.50');
    expect(read(' 7 ')).toBe('7.00');
    expect(read('.5')).toBeNull();
    expect(read('0.05')).toBe('0.05');
  });

  it('has as many digits as the currency', () => {
    expect(read('1200', 'en-US', 'JPY')).toBe('1200');
    expect(read('12.5', 'en-US', 'JPY')).toBeNull();
    expect(read('1.234', 'en-US', 'KWD')).toBe('1.234');
    expect(read('1.234')).toBeNull();
    // By ISO 4217, whatever a browser shows of it.
    expect(read('500.00', 'en-US', 'HUF')).toBe('500.00');
  });

  it('is never guessed', () => {
    for (const text of ['', '-5', '0', '0.00', '1,23', '12,34.50', '1.2.3', '1e3', '$5', 'ten', '1,2345', '0,500', '12 50', '1 2.50']) expect([text, read(text)]).toEqual([text, null]);
    // A point groups figures in German, so this is no amount of dollars and cents.
    expect(read('12.50', 'de-DE', 'EUR')).toBeNull();
    expect(read('1.234', 'de-DE', 'EUR')).toBe('1234.00');
  });

  it('is read back from how it is shown, in every language', () => {
    const amounts = fc.bigInt({ min: 1n, max: 10n ** 14n }).map((units) => {
      const text = units.toString().padStart(3, '0');
      return { amount: `${text.slice(0, -2)}.${text.slice(-2)}`, currency: 'USD' };
    });
    fc.assert(
      fc.property(amounts, fc.constantFrom('en-US', 'en-IE', 'de-DE', 'fr-FR', 'de-CH', 'es-ES', 'sv-SE', 'en-IN'), (money, locale) => {
        expect(readTypedAmount({ text: formatAmount(money, locale), currency: 'USD', locale })).toEqual(money);
      }),
    );
  });
});

it('takes nought for an amount only where it is one', () => {
  expect(readTypedAmount({ text: '0', currency: 'USD', locale: 'en-US', zero: true })).toEqual({ amount: '0.00', currency: 'USD' });
  expect(readTypedAmount({ text: '', currency: 'USD', locale: 'en-US', zero: true })).toBeNull();
});

it('reads grams to a milligram, and nothing finer', () => {
  expect(['1134', '1,134.25', '0.5', '1134.2500', ''].map((text) => readTypedGrams({ text, locale: 'en-US' }))).toEqual(['1134', '1134.25', '0.5', null, null]);
  expect(readTypedGrams({ text: '1134,25', locale: 'de-DE' })).toBe('1134.25');
});
