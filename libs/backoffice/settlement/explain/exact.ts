import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import type { Rational } from '#domain/money/rational';
import type { Explanation, Line } from '#domain/settlement/lines';

/** Places shown of a value that has no end; enough to see which way it was rounded, whatever the currency. */
const PLACES = 9;

/** An exact value in minor units as decimal text in the currency's main unit; `...` where the decimals go on. */
export function exactText(exact: Rational, currency: CurrencyCode): string {
  const denominator = exact.denominator * 10n ** BigInt(currencyDigits(currency));
  const negative = exact.numerator < 0n;
  const numerator = negative ? -exact.numerator : exact.numerator;
  const scaled = numerator * 10n ** BigInt(PLACES);
  const digits = (scaled / denominator).toString().padStart(PLACES + 1, '0');
  const goesOn = scaled % denominator !== 0n;
  const fraction = goesOn ? digits.slice(-PLACES) : digits.slice(-PLACES).replace(/0+$/, '');
  return `${negative ? '-' : ''}${digits.slice(0, -PLACES)}${fraction === '' ? '' : `.${fraction}`}${goesOn ? '...' : ''}`;
}

/** The same as data, in minor units. A figure that was not rounded is its own exact value. */
export function exactValueOf(line: Line, { exact }: Explanation): { numerator: string; denominator: string } {
  const { numerator, denominator } = exact ?? { numerator: line.change?.nowMinor ?? line.amountMinor, denominator: 1n };
  return { numerator: numerator.toString(), denominator: denominator.toString() };
}
