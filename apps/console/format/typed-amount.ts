import { currencyDigits, isCurrencyCode } from '#domain/money/currency';
import type { Money } from './money';

interface Typed {
  readonly text: string;
  readonly currency: string;
  /** Whose way to write figures counts. */
  readonly locale: string;
  /** Nought is an amount, too: what was counted may be nothing. */
  readonly zero?: boolean;
}

/**
 * An amount above zero as somebody types it: with the decimal mark and the grouping of the reader's language, or plainly
 * with a point. Null for what is no such amount, has more digits than the currency, or could be read in two ways:
 * `1.234` is twelve hundred to some and one to others, and money is never guessed.
 */
export function readTypedAmount({ text, currency, locale, zero = false }: Typed): Money | null {
  const digits = isCurrencyCode(currency) ? currencyDigits(currency) : 2;
  const amount = readTypedDecimal({ text, digits, locale });
  return amount === null || (!zero && !/[1-9]/.test(amount)) ? null : { amount, currency };
}

/** A weight as somebody types it, in grams: `1134.25`. Null for what is none, or has more than three digits behind the mark. */
export function readTypedGrams({ text, locale }: Pick<Typed, 'text' | 'locale'>): string | null {
  const grams = readTypedDecimal({ text, digits: 3, locale });
  return grams === null || grams.length > 11 ? null : grams.replace(/\.?0+$/, '');
}

function readTypedDecimal({ text, digits, locale }: { readonly text: string; readonly digits: number; readonly locale: string }): string | null {
  const { decimal, group } = marksOf(locale);
  const plain = text.trim().replaceAll(/[\s\u00a0\u202f]/g, ' ');
  // Groups of three, or of two before the last as in India; never behind a leading zero.
  const inGroups = new RegExp(`^[1-9]\\d{0,2}((${escaped(group)}\\d{2})*|(${escaped(group)}\\d{3})*)${escaped(group)}\\d{3}$`);
  const [whole = '', fraction = '', ...more] = splitAtMark({ text: plain, decimal, group });
  if (more.length > 0 || !(/^\d{1,15}$/.test(whole) || inGroups.test(whole))) return null;
  if (!/^\d*$/.test(fraction) || fraction.length > digits) return null;
  const units = `${whole.replaceAll(group, '').replaceAll(' ', '')}${fraction.padEnd(digits, '0')}`.replace(/^0+(?=\d)/, '').padStart(digits + 1, '0');
  const cut = units.length - digits;
  return digits === 0 ? units : `${units.slice(0, cut)}.${units.slice(cut)}`;
}

/** A point stands for the decimal mark, too, where it does not group the figures in this language. */
function splitAtMark({ text, decimal, group }: { text: string; decimal: string; group: string }): string[] {
  if (text.includes(decimal)) return text.split(decimal);
  return group === '.' ? [text] : text.split('.');
}

function marksOf(locale: string): { decimal: string; group: string } {
  const parts = new Intl.NumberFormat(locale).formatToParts(1_234_567.8);
  const mark = (type: 'decimal' | 'group', otherwise: string) => parts.find((part) => part.type === type)?.value ?? otherwise;
  const group = mark('group', ',');
  return { decimal: mark('decimal', '.'), group: /\s/.test(group) ? ' ' : group };
}

function escaped(text: string): string {
  return text.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&');
}
