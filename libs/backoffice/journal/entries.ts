import { formatInstant } from '#contracts/format';
import type { JournalEntryBody, JournalEntryQuery } from '#contracts/journal';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { accountRefOf } from './post';
import { holderNames } from './post.sql';
import { readEntries, type EntryRow } from './read.sql';

/** Journal entries of some days, both included, or of one source, in order of day. */
export function listJournalEntries(deps: Backoffice, caller: Caller, query: JournalEntryQuery): Promise<Outcome<Page<JournalEntryBody>>> {
  return perform<Page<JournalEntryBody>>(deps, caller, 'journal.read', async ({ tx }) => {
    const cursor = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (cursor === 'invalid') return refused('invalid-cursor');
    const { from = null, to = null, sourceId = null, limit } = query;
    const after = cursor === null ? null : { accountingDate: cursor[0], id: cursor[1] };
    const rows = await readEntries(tx, { query: { from, to, sourceId, recordedUntil: null }, after, limit: limit + 1 });
    const names = await holderNames(tx, [...new Set(rows.flatMap((row) => row.account_codes.flatMap((code) => accountRefOf(code).holderId ?? [])))]);
    return done(toPage({ rows, limit, item: (row) => entryBody(row, names), keyOf: (row) => [row.accounting_date, row.id] }));
  });
}

function entryBody(row: EntryRow, names: ReadonlyMap<string, string>): JournalEntryBody {
  return {
    id: row.id,
    kind: row.kind,
    date: row.accounting_date as LocalDate,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    sourceId: row.source_id,
    reference: row.reference,
    postings: row.account_codes.map((code, index) => ({
      account: code,
      name: row.account_names[index] ?? code,
      holderName: names.get(accountRefOf(code).holderId ?? '') ?? null,
      amount: moneyOf(row.amounts_minor[index] ?? 0n, row.currency as CurrencyCode),
    })),
  };
}
