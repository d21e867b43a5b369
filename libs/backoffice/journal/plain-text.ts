import { formatMinor } from '#domain/money/amount';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';

/**
 * The journal as plain text, in the part of the format that hledger and ledger share (hledger manual, "Journal format";
 * ledger manual, "Journal Format"). Everything is declared before it is used, so that `hledger check --strict` and
 * `ledger --pedantic` take it and find a misspelt account or an entry that does not balance.
 */
export type PlainAccount = { readonly kind: string; readonly name: string };

export type PlainEntry = {
  readonly id: string;
  readonly kind: string;
  readonly date: string;
  readonly reference: string;
  readonly sourceId: string;
  readonly postings: readonly PlainPosting[];
};

export type PlainPosting = {
  readonly accountCode: string;
  readonly accountName: string;
  readonly currency: string;
  /** Debits positive. */
  readonly amountMinor: bigint;
};

export function plainTextHeader(journal: {
  readonly operatorCode: string;
  readonly from: string;
  readonly to: string;
  readonly currencies: readonly string[];
  readonly accounts: readonly PlainAccount[];
}): string {
  const commodities = journal.currencies.map((currency) => `commodity ${currency}\n    format ${sampleOf(currencyOf(currency))} ${currency}\n`);
  const accounts = journal.accounts.map((account) => `account ${accountName(account.name)}\n`);
  return `; Journal of ${plain(journal.operatorCode)}, ${journal.from} to ${journal.to}\n\n${commodities.join('')}\n${accounts.join('')}\n`;
}

export function plainTextEntry(entry: PlainEntry): string {
  const postings = entry.postings.map((posting) => {
    const amount = formatMinor(posting.amountMinor, currencyOf(posting.currency));
    return `    ${accountName(posting.accountName)}  ${amount} ${posting.currency}\n`;
  });
  const description = [entry.kind, entry.reference].filter((part) => part !== '').map(plain).join(' ');
  return `${entry.date} ${description}  ; entry:${entry.id}, source:${entry.sourceId}\n${postings.join('')}\n`;
}

/** A sample amount that shows the decimal mark, which hledger asks for even where a currency has no digits after it. */
function sampleOf(currency: CurrencyCode): string {
  const sample = formatMinor(100_000n, currency);
  return sample.includes('.') ? sample : `${sample}.`;
}

/** Two spaces would end an account's name, and a semicolon begin a comment: only these characters pass. */
function accountName(name: string): string {
  return name
    .split(':')
    .map((segment) => plain(segment))
    .join(':');
}

function plain(text: string): string {
  return text.replaceAll(/[^A-Za-z0-9 .-]/g, '-').replaceAll(/ {2,}/g, ' ');
}

export function currencyOf(code: string): CurrencyCode {
  if (!isCurrencyCode(code)) throw new Error(`the journal holds an amount in ${code}, which is no known currency`);
  return code;
}
