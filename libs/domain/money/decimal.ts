/**
 * Exact decimals as text, for rates and shares: `4.5`, `33.333333333`. Up to nine places, no exponent, no sign but a
 * leading minus. They are held as text in documents, so that no reader turns them into binary fractions, and as
 * integers of 10^-9 inside the engine.
 */
declare const decimalBrand: unique symbol;

export type Decimal = string & { readonly [decimalBrand]: 'Decimal' };

/** Integer count of 10^-9. */
export type Billionths = bigint;

export const billion = 1_000_000_000n;

/** 100 as billionths: a percentage p is the fraction p / oneHundred. */
export const oneHundred: Billionths = 100n * billion;

/** No superfluous zeros: one value has one text, so that equal terms are equal bytes. */
const shape = /^-?(0|[1-9]\d{0,17})(\.\d{0,8}[1-9])?$/;

export function isDecimal(text: string): text is Decimal {
  return shape.test(text) && text !== '-0';
}

/** For text that was checked before or stands in a program: throws on anything else. */
export function decimal(text: string): Decimal {
  if (!isDecimal(text)) throw new Error(`Not a plain decimal with up to nine places: ${text}`);
  return text;
}

export function toBillionths(value: Decimal): Billionths {
  const dot = value.indexOf('.');
  if (dot === -1) return BigInt(value) * billion;
  const places = value.length - dot - 1;
  return BigInt(value.slice(0, dot) + value.slice(dot + 1)) * 10n ** BigInt(9 - places);
}

export function fromBillionths(value: Billionths): Decimal {
  const sign = value < 0n ? '-' : '';
  const absolute = value < 0n ? -value : value;
  const fraction = (absolute % billion).toString().padStart(9, '0').replace(/0+$/, '');
  return decimal(`${sign}${absolute / billion}${fraction === '' ? '' : `.${fraction}`}`);
}
