/** Amounts, numbers and dates as a statement writes them. */
import type { LocalDate } from '#domain/calendar/local-date';
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import type { Conventions, StatementLanguage } from '#statement/words/words';

/** A true minus: a hyphen is easily lost in print. */
const MINUS = '\u2212';

/** Minor units as a number with exactly the currency's decimals and grouped digits, without the currency. */
export function formatAmount(amountMinor: bigint, currency: CurrencyCode, conventions: Conventions): string {
  const digits = currencyDigits(currency);
  const text = (amountMinor < 0n ? -amountMinor : amountMinor).toString().padStart(digits + 1, '0');
  const whole = groupDigits(text.slice(0, text.length - digits), conventions);
  const fraction = digits === 0 ? '' : `${conventions.decimalMark}${text.slice(-digits)}`;
  return `${amountMinor < 0n ? MINUS : ''}${whole}${fraction}`;
}

/** A count with grouped digits. */
export function formatCount(count: number | bigint, conventions: Conventions): string {
  return groupDigits(String(count), conventions);
}

/** A plain decimal such as `33.3333` with the region's decimal mark. */
export function formatDecimal(decimal: string, conventions: Conventions): string {
  return decimal.replace('.', conventions.decimalMark);
}

/** `31 May 2025`, `May 31, 2025`, `31. Mai 2025` or `31 de mayo de 2025`. */
export function formatDate(date: LocalDate, language: StatementLanguage): string {
  return dayText(date, language, date.slice(0, 4));
}

/** First to last day, both included; month and year once when they are the same. */
export function formatPeriod(period: { firstDay: LocalDate; lastDay: LocalDate }, language: StatementLanguage): string {
  const { firstDay, lastDay } = period;
  const last = formatDate(lastDay, language);
  if (firstDay === lastDay) return last;
  const year = firstDay.slice(0, 4);
  if (firstDay.slice(0, 7) === lastDay.slice(0, 7)) {
    const { words, conventions } = language;
    return words.days({ first: Number(firstDay.slice(8)), last: Number(lastDay.slice(8)), month: words.months[Number(firstDay.slice(5, 7)) - 1] ?? '', year, order: conventions.dateOrder });
  }
  return `${dayText(firstDay, language, year === lastDay.slice(0, 4) ? undefined : year)} \u2013 ${last}`;
}

function dayText(date: LocalDate, { words, conventions }: StatementLanguage, year: string | undefined): string {
  const [, month = '', day = ''] = date.split('-');
  return words.day({ day: Number(day), month: words.months[Number(month) - 1] ?? month, year, order: conventions.dateOrder });
}

function groupDigits(digits: string, conventions: Conventions): string {
  return digits.replace(/\B(?=(\d{3})+$)/g, conventions.groupMark);
}
