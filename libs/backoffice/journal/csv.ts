import type { AccountRef, JournalEntry } from '#domain/journal/types';
import { formatMinor } from '#domain/money/amount';
import { csvHeader as headerOf, csvLine } from '../csv';
import { accountCodeOf } from './post';

/** Columns of the journal as CSV, one line per posting. */
const table = {
  columns: ['date', 'entry', 'kind', 'reference', 'source', 'line', 'account', 'account_name', 'currency', 'debit', 'credit', 'amount'],
  numbers: ['line', 'debit', 'credit', 'amount'],
} as const;

export const csvHeader = headerOf(table);

export function csvEntry(entry: JournalEntry & { readonly reference?: string }, nameOf: (account: AccountRef) => string): string {
  const amount = (minor: bigint): string => formatMinor(minor, entry.currency);
  const { date, id, kind, reference, sourceId, currency } = entry;
  return entry.postings
    .map(({ account, amountMinor }, index) =>
      csvLine(table, {
        date,
        entry: id,
        kind,
        reference,
        source: sourceId,
        line: index + 1,
        account: accountCodeOf(account),
        account_name: nameOf(account),
        currency,
        debit: amountMinor > 0n ? amount(amountMinor) : '',
        credit: amountMinor < 0n ? amount(-amountMinor) : '',
        amount: amount(amountMinor),
      }),
    )
    .join('');
}
