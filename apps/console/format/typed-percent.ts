import { isDecimal, type Decimal } from '#domain/money/decimal';

/**
 * A percentage between 0 and 100 as somebody types it, with the decimal mark of the reader's language or a point; null
 * for anything else. At most nine places, which is what rates and shares may have.
 */
export function readTypedPercent({ text, locale }: { readonly text: string; readonly locale: string }): Decimal | null {
  const plain = text.trim().replace(/\s*%$/, '').replace(decimalMarkOf(locale), '.');
  if (!/^\d{1,3}(\.\d{1,9})?$/.test(plain)) return null;
  const [whole = '', fraction = ''] = plain.split('.');
  const kept = fraction.replace(/0+$/, '');
  const shortest = `${whole.replace(/^0+(?=\d)/, '')}${kept === '' ? '' : `.${kept}`}`;
  const above = Number(whole) > 100 || (Number(whole) === 100 && kept !== '');
  return !above && isDecimal(shortest) ? shortest : null;
}

/** An exact decimal as it is typed in this language, without grouping. */
export function asTyped({ text, locale }: { readonly text: string; readonly locale: string }): string {
  return text.replace('.', decimalMarkOf(locale));
}

function decimalMarkOf(locale: string): string {
  return new Intl.NumberFormat(locale).formatToParts(1.5).find((part) => part.type === 'decimal')?.value ?? '.';
}
