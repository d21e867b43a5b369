import { formatMinor } from '#domain/money/amount';
import { currencyOf, type PlainEntry } from './plain-text';

/** Columns of the journal as CSV (RFC 4180), one line per posting. Amounts are strict decimals with a point. */
const columns = ['date', 'entry', 'kind', 'reference', 'source', 'line', 'account', 'account_name', 'currency', 'debit', 'credit', 'amount'] as const;

export const csvHeader = `${columns.join(',')}\r\n`;

export function csvEntry(entry: PlainEntry): string {
  return entry.postings
    .map((posting, index) => {
      const currency = currencyOf(posting.currency);
      const amount = (minor: bigint) => formatMinor(minor, currency);
      const texts = [entry.date, entry.id, entry.kind, entry.reference, entry.sourceId].map(csvText);
      const account = [posting.accountCode, posting.accountName, posting.currency].map(csvText);
      const debit = posting.amountMinor > 0n ? amount(posting.amountMinor) : '';
      const credit = posting.amountMinor < 0n ? amount(-posting.amountMinor) : '';
      return `${[...texts, index + 1, ...account, debit, credit, amount(posting.amountMinor)].join(',')}\r\n`;
    })
    .join('');
}

/**
 * A text cell. A spreadsheet reads a cell that begins with one of these as a formula and may run it, so text gets an
 * apostrophe in front; numbers are never touched, because a prefixed number is no number.
 */
function csvText(text: string): string {
  const harmless = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
