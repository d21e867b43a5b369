import { Readable } from 'node:stream';
import { done, type Outcome } from '#contracts/outcome';
import { withTenant, type TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { plainTextDeclarations, plainTextEntry } from '#domain/journal/plain-text';
import type { AccountRef, EntryKind, JournalEntry } from '#domain/journal/types';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { csvEntry, csvHeader } from './csv';
import { accountCodeOf, accountRefOf } from './post';
import { readEntries, readAccounts, readUsedCurrencies, type EntryRange, type EntryRow } from './read.sql';

/** Entries per query: some 100 kB of text, so that a journal of any length takes constant memory. */
const PAGE_SIZE = 500;

export type JournalExport = { readonly bytes: Readable; readonly fileName: string };

/**
 * The journal of some days, both included, as plain text (hledger, ledger) or CSV. It is read page by page while it is
 * sent; entries recorded after the request stay out, so that what is declared at its head covers what follows.
 */
export async function exportJournal(
  deps: Backoffice,
  caller: Caller,
  query: { readonly format: 'plain' | 'csv'; readonly from: string; readonly to: string },
): Promise<Outcome<JournalExport>> {
  const { format, from, to } = query;
  const head = await perform(deps, caller, 'journal.read', async ({ tx, now }) => {
    const range: EntryRange = { from, to, recordedUntil: now };
    const operatorCode = await readOperatorCode(tx);
    if (format === 'csv') return done({ range, operatorCode, text: csvHeader });
    const [accounts, currencies] = [await readAccounts(tx), await readUsedCurrencies(tx, range)];
    return done({ range, operatorCode, text: plainTextDeclarations({ currencies, accountNames: accounts.map((account) => account.name) }) });
  });
  if (!head.ok) return head;
  const { range, operatorCode, text } = head.value;
  const entryText = format === 'csv' ? csvEntry : plainTextEntry;
  return done({
    bytes: Readable.from(pages({ deps, caller, range, text, entryText })),
    fileName: `journal-${operatorCode}-${from}-${to}.${format === 'csv' ? 'csv' : 'journal'}`,
  });
}

async function* pages(journal: {
  deps: Backoffice;
  caller: Caller;
  range: EntryRange;
  text: string;
  entryText: (entry: ExportedEntry, nameOf: (account: AccountRef) => string) => string;
}): AsyncGenerator<Buffer> {
  const { deps, caller, range, text, entryText } = journal;
  yield Buffer.from(text, 'utf8');
  let after: { accountingDate: string; id: string } | null = null;
  for (;;) {
    const continueAfter: { accountingDate: string; id: string } | null = after;
    const rows: EntryRow[] = await withTenant(deps.database, caller, (tx) => readEntries(tx, { query: { ...range, sourceId: null }, after: continueAfter, limit: PAGE_SIZE }));
    if (rows.length > 0) yield Buffer.from(rows.map((row) => entryText(entryOf(row), nameIn(row))).join(''), 'utf8');
    const last = rows.at(-1);
    if (last === undefined || rows.length < PAGE_SIZE) return;
    after = { accountingDate: last.accounting_date, id: last.id };
  }
}

type ExportedEntry = JournalEntry & { readonly reference?: string };

/** Every entry is in one currency: the builders make no other. */
function entryOf(row: EntryRow): ExportedEntry {
  return {
    id: row.id,
    kind: row.kind as EntryKind,
    date: row.accounting_date as LocalDate,
    currency: row.currency as CurrencyCode,
    sourceId: row.source_id,
    postings: row.account_codes.map((code, index) => ({ account: accountRefOf(code), amountMinor: row.amounts_minor[index] ?? 0n })),
    ...(row.reference === null ? {} : { reference: row.reference }),
  };
}

function nameIn(row: EntryRow): (account: AccountRef) => string {
  const names = new Map(row.account_codes.map((code, index) => [code, row.account_names[index] ?? code]));
  return (account) => names.get(accountCodeOf(account)) ?? accountCodeOf(account);
}

async function readOperatorCode(tx: TenantTransaction): Promise<string> {
  const { rows } = await tx.sql<{ code: string }>('SELECT code FROM operator WHERE tenant_id = $1', [tx.tenantId]);
  return rows[0]?.code ?? 'operator';
}
