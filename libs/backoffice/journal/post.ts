import type { TenantTransaction } from '#database/tenant';
import { chartOfAccounts, type AccountCode } from '#domain/journal/accounts';
import { accountName } from '#domain/journal/plain-text';
import type { AccountRef, EntryKind, JournalEntry } from '#domain/journal/types';
import { holderCodes, insertAccounts, insertEntries, selectPosted, shareJournalForAccounts } from './post.sql';

/**
 * Writes balanced entries and opens the accounts that they name for the first time. An entry without postings (a
 * settlement in which nothing moved) is left out: it would say nothing. The database refuses an entry that does not
 * balance, and a second entry of one kind from one source; both are bugs of the caller and throw. It also refuses a day
 * of a closed period: `perform` answers that with `journal-closed`, where the use case has not named the field before.
 */
export async function postEntries(
  tx: TenantTransaction,
  posted: { readonly entries: readonly JournalEntry[]; readonly recordedAt: Date },
): Promise<void> {
  const entries = posted.entries.filter((entry) => entry.postings.length > 0);
  if (entries.length === 0) return;
  await openAccounts(tx, entries.flatMap((entry) => entry.postings.map((posting) => posting.account)));
  await insertEntries(tx, {
    recordedAt: posted.recordedAt,
    entries: entries.map((entry) => ({ id: entry.id, kind: entry.kind, sourceId: entry.sourceId, accountingDate: entry.date })),
    postings: entries.flatMap((entry) =>
      entry.postings.map((posting, index) => ({
        entryId: entry.id,
        position: index + 1,
        accountCode: accountCodeOf(posting.account),
        currency: entry.currency,
        amountMinor: posting.amountMinor,
      })),
    ),
  });
}

/** The entry of a kind that a record posted; undefined where nothing moved. */
export async function readPostedEntry(tx: TenantTransaction, { kind, sourceId }: { kind: EntryKind; sourceId: string }): Promise<JournalEntry | undefined> {
  const rows = await selectPosted(tx, { kind, sourceId });
  const [first] = rows;
  if (first === undefined) return undefined;
  const postings = rows.map((row) => ({ account: accountRefOf(row.account_code), amountMinor: row.amount_minor }));
  return { id: first.id, date: first.accounting_date, currency: first.currency, kind, sourceId, postings };
}

/** Names one account within the operator: the chart's code, and the holder where the account is kept per holder. */
export function accountCodeOf(account: AccountRef): string {
  return account.holderId === null ? account.code : `${account.code}:${account.holderId}`;
}

/** The account that such a code names. */
export function accountRefOf(code: string): AccountRef {
  const [chartCode = '', holderId = null] = code.split(':');
  return { code: chartCode as AccountCode, holderId };
}

async function openAccounts(tx: TenantTransaction, refs: readonly AccountRef[]): Promise<void> {
  const byCode = new Map(refs.map((ref) => [accountCodeOf(ref), ref]));
  const missing = new Set(await shareJournalForAccounts(tx, [...byCode.keys()]));
  if (missing.size === 0) return;
  const toOpen = [...byCode].filter(([code]) => missing.has(code));
  const holderIds = toOpen.flatMap(([, ref]) => (ref.holderId === null ? [] : [ref.holderId]));
  const codes = holderIds.length === 0 ? new Map<string, string>() : await holderCodes(tx, holderIds);
  await insertAccounts(
    tx,
    toOpen.map(([code, ref]) => {
      // A holder without a code (a bank account) goes by its id, so that its account still has a name of its own.
      return { code, kind: chartOfAccounts[ref.code].type, name: accountName(ref, codes) };
    }),
  );
}
