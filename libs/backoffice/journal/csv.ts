import type { AccountRef, JournalEntry } from '#domain/journal/types';
import { formatMinor } from '#domain/money/amount';
import { accountCodeOf } from './post';

/** Columns of the journal as CSV (RFC 4180), one line per posting. Amounts are strict decimals with a point. */
const columns = ['date', 'entry', 'kind', 'reference', 'source', 'line', 'account', 'account_name', 'currency', 'debit', 'credit', 'amount'] as const;

export const csvHeader = `${columns.join(',')}\r\n`;

export function csvEntry(entry: JournalEntry & { readonly reference?: string }, nameOf: (account: AccountRef) => string): string {
  const amount = (minor: bigint): string => formatMinor(minor, entry.currency);
  const head = [entry.date, entry.id, entry.kind, entry.reference ?? '', entry.sourceId].map(csvText);
  return entry.postings
    .map(({ account, amountMinor }, index) => {
      const described = [accountCodeOf(account), nameOf(account), entry.currency].map(csvText);
      const debit = amountMinor > 0n ? amount(amountMinor) : '';
      const credit = amountMinor < 0n ? amount(-amountMinor) : '';
      return `${[...head, index + 1, ...described, debit, credit, amount(amountMinor)].join(',')}\r\n`;
    })
    .join('');
}

/**
 * A text cell. A spreadsheet reads a cell that begins with one of these as a formula and may run it, so text gets an
 * apostrophe in front; numbers are never touched, because a prefixed number is no number.
 */
export function csvText(text: string): string {
  const harmless = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
