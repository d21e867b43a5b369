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
export function formatCount(count: number, conventions: Conventions): string {
  return groupDigits(String(count), conventions);
}

/** A plain decimal such as `33.3333` with the region's decimal mark. */
export function formatDecimal(decimal: string, conventions: Conventions): string {
  return decimal.replace('.', conventions.decimalMark);
}

/** `31 May 2025` or `May 31, 2025`: the month in letters, so that nobody takes 5/6 for another day. */
export function formatDate(date: LocalDate, { words, conventions }: StatementLanguage): string {
  const [year = '', month = '', day = ''] = date.split('-');
  const monthName = words.months[Number(month) - 1] ?? month;
  return conventions.dateOrder === 'month-day-year' ? `${monthName} ${Number(day)}, ${year}` : `${Number(day)} ${monthName} ${year}`;
}

/** First to last day, both included; the year once when it is the same. */
export function formatPeriod(period: { firstDay: LocalDate; lastDay: LocalDate }, language: StatementLanguage): string {
  const first = formatDate(period.firstDay, language);
  const last = formatDate(period.lastDay, language);
  if (first === last) return first;
  const sameYear = period.firstDay.slice(0, 4) === period.lastDay.slice(0, 4);
  return `${sameYear ? first.replace(/,? \d{4}$/, '') : first} \u2013 ${last}`;
}

function groupDigits(digits: string, conventions: Conventions): string {
  return digits.replace(/\B(?=(\d{3})+$)/g, conventions.groupMark);
}
