import fc from 'fast-check';
import { changeInThousandths, compareMoney, difference, formatAmount, formatMoney, isNegative, isZero, negated, sum, unitsOf } from './money';

const usd = (amount: string) => ({ amount, currency: 'USD' });

describe('showing an amount', () => {
  it('keeps every digit of amounts that a binary float cannot hold', () => {
    // 2^53 + 1 cents and more: as a float the last digits would change.
    expect(formatAmount(usd('90071992547409931.29'), 'en-US')).toBe('90,071,992,547,409,931.29');
    expect(formatAmount(usd('9999999999999999.99'), 'en-US')).toBe('9,999,999,999,999,999.99');
  });

  it('shows as many digits as the currency has', () => {
    expect(formatAmount({ amount: '1200', currency: 'JPY' }, 'en-US')).toBe('1,200');
    expect(formatAmount({ amount: '1.200', currency: 'KWD' }, 'en-US')).toBe('1.200');
    expect(formatMoney({ amount: '1200', currency: 'JPY' }, 'en-US')).toBe('¥1,200');
  });

  it('follows the locale', () => {
    expect(formatAmount(usd('-1234.50'), 'de-DE')).toBe('-1.234,50');
    expect(formatMoney({ amount: '1234.50', currency: 'EUR' }, 'de-DE')).toBe('1.234,50\u00a0€');
  });

  it('gives a difference its sign, and zero none', () => {
    expect(formatAmount(usd('12.00'), 'en-US', 'exceptZero')).toBe('+12.00');
    expect(formatAmount(usd('-12.00'), 'en-US', 'exceptZero')).toBe('-12.00');
    expect(formatAmount(usd('0.00'), 'en-US', 'exceptZero')).toBe('0.00');
    expect(formatAmount(usd('-0.00'), 'en-US')).toBe('0.00');
  });
});

describe('calculating on amounts', () => {
  it('takes the difference exactly', () => {
    expect(difference({ now: usd('0.30'), before: usd('0.10') })).toEqual(usd('0.20'));
    expect(difference({ now: usd('-0.05'), before: usd('0.00') })).toEqual(usd('-0.05'));
  });

  it('has no difference and no sum over two currencies', () => {
    const euro = { amount: '1.00', currency: 'EUR' };
    expect(difference({ now: usd('1.00'), before: euro })).toBeNull();
    expect(sum([usd('1.00'), euro])).toBeNull();
    expect(sum([])).toBeNull();
  });

  it('orders by size, not by text', () => {
    const sorted = [usd('9.00'), usd('-10.00'), usd('10.00')].sort(compareMoney);
    expect(sorted.map((each) => each.amount)).toEqual(['-10.00', '9.00', '10.00']);
  });

  it('tells the change in thousandths of what was before, whatever its sign', () => {
    expect(changeInThousandths({ now: usd('110.00'), before: usd('100.00') })).toBe(100);
    expect(changeInThousandths({ now: usd('-50.00'), before: usd('-100.00') })).toBe(500);
    expect(changeInThousandths({ now: usd('1.00'), before: usd('0.00') })).toBeNull();
  });

  it('agrees with whole numbers for any amounts', () => {
    const cents = fc.bigInt({ min: -(10n ** 15n), max: 10n ** 15n });
    const text = (units: bigint) => {
      const absolute = (units < 0n ? -units : units).toString().padStart(3, '0');
      return usd(`${units < 0n ? '-' : ''}${absolute.slice(0, -2)}.${absolute.slice(-2)}`);
    };
    fc.assert(
      fc.property(cents, cents, (one, other) => {
        expect(unitsOf(text(one))).toBe(one);
        expect(difference({ now: text(one), before: text(other) })).toEqual(text(one - other));
        expect(sum([text(one), text(other)])).toEqual(text(one + other));
        expect(negated(text(one))).toEqual(text(-one));
        expect(isZero(text(one))).toBe(one === 0n);
        expect(isNegative(text(one))).toBe(one < 0n);
        expect(Math.sign(compareMoney(text(one), text(other)))).toBe(one < other ? -1 : one > other ? 1 : 0);
      }),
    );
  });
});
