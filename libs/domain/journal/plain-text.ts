/**
 * The journal as plain text, in the part of the format that both hledger and ledger read: declared accounts and
 * commodities, one transaction per entry. Names of people and places are reduced to letters, digits and a few harmless
 * signs, so that no name can begin a comment, a virtual posting or another account.
 */
import { chartOfAccounts, type AccountType } from '#domain/journal/accounts';
import type { AccountRef, EntryKind, JournalEntry } from '#domain/journal/types';
import { formatMinor } from '#domain/money/amount';

export interface PlainTextRequest {
  readonly entries: readonly JournalEntry[];
  /** What the holders of accounts are called; an id without a name stands for itself. */
  readonly names: ReadonlyMap<string, string>;
}

const typeNames: Readonly<Record<AccountType, string>> = { asset: 'assets', liability: 'liabilities', income: 'income', expense: 'expenses' };

const descriptions: Readonly<Record<EntryKind, string>> = {
  'collection-accepted': 'Collection accepted',
  'collection-corrected': 'Collection corrected',
  'money-moved': 'Money moved',
  'cash-counted': 'Cash counted',
  'settlement-issued': 'Settlement issued',
  payment: 'Payment',
  'payment-returned': 'Payment returned',
  'payment-shifted': 'Payment put on account or taken off it',
  'advance-paid': 'Advance paid',
  'advance-paid-back': 'Advance paid back',
  'write-off': 'Written off',
  reversal: 'Reversal',
  'tax-filed': 'Tax return filed',
  'tax-paid': 'Tax paid',
};

/** UTF-8 text with a line feed at the end of every line; entries in the given order. */
export function plainTextJournal({ entries, names }: PlainTextRequest): string {
  const accountNames = nameAccounts(entries, names);
  const currencies = [...new Set(entries.map((entry) => entry.currency))].sort();
  const declared = [...new Set(accountNames.values())].sort();
  const nameOf = (account: AccountRef): string => accountNames.get(accountKey(account)) ?? '';
  return plainTextDeclarations({ currencies, accountNames: declared }) + entries.map((entry) => plainTextEntry(entry, nameOf)).join('');
}

/** What stands at the head of a journal that is written entry by entry: everything that its entries will name. */
export function plainTextDeclarations(declared: { readonly currencies: readonly string[]; readonly accountNames: readonly string[] }): string {
  return [...declared.currencies.map((currency) => `commodity ${currency}`), '', ...declared.accountNames.map((name) => `account ${name}`), ''].join(
    '\n',
  );
}

/** One entry, with the empty line before it. `reference` stands for the id of its source where people know it by another name. */
export function plainTextEntry(entry: JournalEntry & { readonly reference?: string }, nameOf: (account: AccountRef) => string): string {
  const lines = entry.postings.map(
    ({ account, amountMinor }) => `    ${nameOf(account)}  ${formatMinor(amountMinor, entry.currency)} ${entry.currency}`,
  );
  return ['', `${entry.date} * (${harmless(entry.reference ?? entry.sourceId)}) ${descriptions[entry.kind]}`, ...lines, ''].join('\n');
}

/** One name per account; holders whose names look alike after cleaning are told apart by a number, in the order of their ids. */
function nameAccounts(entries: readonly JournalEntry[], names: ReadonlyMap<string, string>): Map<string, string> {
  const accounts = new Map<string, AccountRef>();
  for (const entry of entries) for (const { account } of entry.postings) accounts.set(accountKey(account), account);
  const taken = new Set<string>();
  const named = new Map<string, string>();
  for (const key of [...accounts.keys()].sort()) {
    const account = accounts.get(key);
    if (account === undefined) continue;
    const plain = accountName(account, names);
    let name = plain;
    for (let number = 2; taken.has(name); number += 1) name = `${plain} ${number}`;
    taken.add(name);
    named.set(key, name);
  }
  return named;
}

/** The account's name: its type, its place in the chart, and its holder. */
export function accountName({ code, holderId }: AccountRef, names: ReadonlyMap<string, string>): string {
  const { type, name } = chartOfAccounts[code];
  const segments = [typeNames[type], ...name];
  if (holderId !== null) segments.push(harmless(names.get(holderId) ?? holderId));
  return segments.join(':');
}

function accountKey({ code, holderId }: AccountRef): string {
  return `${code} ${holderId ?? ''}`;
}

/** Letters and digits of any script, single spaces, dots and hyphens inside; nothing else reaches the file. */
export function harmless(text: string): string {
  const kept = text
    .normalize('NFC')
    .replace(/[^\p{L}\p{M}\p{N}.-]+/gu, ' ')
    .replace(/^[ .-]+|[ .-]+$/gu, '');
  return kept === '' ? 'unnamed' : kept;
}
