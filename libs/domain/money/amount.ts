/**
 * An amount of money: whole minor units together with their currency. Two currencies never meet: mixing them does not
 * compile where the types know the currencies, and throws where they do not.
 */
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';

export interface Amount<Code extends CurrencyCode = CurrencyCode> {
  readonly currency: Code;
  /** Whole minor units, for example cents. */
  readonly minor: bigint;
}

/** Beyond any cash box: a single amount above this is a typing error (10^15 minor units). */
export const largestMinor = 1_000_000_000_000_000n;

export function amount<Code extends CurrencyCode>(currency: Code, minor: bigint): Amount<Code> {
  return { currency, minor };
}

export function addAmounts<Code extends CurrencyCode>(augend: Amount<Code>, addend: Amount<NoInfer<Code>>): Amount<Code> {
  requireSameCurrency(augend, addend);
  return { currency: augend.currency, minor: augend.minor + addend.minor };
}

export function subtractAmounts<Code extends CurrencyCode>(minuend: Amount<Code>, subtrahend: Amount<NoInfer<Code>>): Amount<Code> {
  requireSameCurrency(minuend, subtrahend);
  return { currency: minuend.currency, minor: minuend.minor - subtrahend.minor };
}

export function negateAmount<Code extends CurrencyCode>(value: Amount<Code>): Amount<Code> {
  return { currency: value.currency, minor: -value.minor };
}

function requireSameCurrency(left: Amount, right: Amount): void {
  if (left.currency !== right.currency) throw new TypeError(`Amounts in ${left.currency} and ${right.currency} cannot be combined`);
}

export type AmountProblem = 'not-a-number' | 'wrong-digits' | 'too-large';

export type ParsedMinor = { readonly ok: true; readonly minor: bigint } | { readonly ok: false; readonly problem: AmountProblem };

/**
 * Reads `123.45`, with exactly the currency's digits after the point, no separators of thousands, an optional leading
 * minus. What is accepted is written back as the same text by `formatMinor`.
 */
export function parseMinor(text: string, currency: CurrencyCode): ParsedMinor {
  const match = /^(-?)(0|[1-9]\d*)(?:\.(\d+))?$/.exec(text);
  if (match === null) return { ok: false, problem: 'not-a-number' };
  const [, sign = '', whole = '', fraction = ''] = match;
  if (fraction.length !== currencyDigits(currency)) return { ok: false, problem: 'wrong-digits' };
  if (whole.length > 16) return { ok: false, problem: 'too-large' };
  const absolute = BigInt(whole + fraction);
  if (absolute > largestMinor) return { ok: false, problem: 'too-large' };
  if (sign === '-' && absolute === 0n) return { ok: false, problem: 'not-a-number' };
  return { ok: true, minor: sign === '-' ? -absolute : absolute };
}

/** Writes minor units as `123.45`, with exactly the currency's digits. */
export function formatMinor(minor: bigint, currency: CurrencyCode): string {
  const digits = currencyDigits(currency);
  const sign = minor < 0n ? '-' : '';
  const text = (minor < 0n ? -minor : minor).toString().padStart(digits + 1, '0');
  if (digits === 0) return sign + text;
  return `${sign}${text.slice(0, -digits)}.${text.slice(-digits)}`;
}
