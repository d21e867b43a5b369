/**
 * Double entry. An entry is a list of postings in one currency, debits positive and credits negative, that sums to
 * zero. Accounts are named by code and what they belong to; journal/accounts.ts holds the chart.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { AccountCode } from '#domain/journal/accounts';

/** One account of the chart; accounts kept per holder (a payee, an area, a site ...) name it by id. */
export interface AccountRef {
  readonly code: AccountCode;
  readonly holderId: string | null;
}

export interface EntryPosting {
  readonly account: AccountRef;
  /** Minor units; debit positive, credit negative. */
  readonly amountMinor: bigint;
}

export interface JournalEntry {
  readonly id: string;
  readonly date: LocalDate;
  readonly currency: CurrencyCode;
  readonly kind: EntryKind;
  /** The record that it comes from: a settlement, a collection, a payment ... */
  readonly sourceId: string;
  readonly postings: readonly EntryPosting[];
}

export type EntryKind =
  | 'collection-accepted'
  | 'collection-corrected'
  | 'money-moved'
  | 'cash-counted'
  | 'settlement-issued'
  | 'payment'
  | 'payment-returned'
  | 'payment-shifted'
  | 'advance-paid'
  | 'advance-paid-back'
  | 'write-off'
  | 'reversal'
  | 'tax-filed'
  | 'tax-paid';
