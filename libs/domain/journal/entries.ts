/**
 * Builds balanced entries. Every builder names who must stand on which side; amounts are minor units, debits positive.
 */
import type { AccountCode } from '#domain/journal/accounts';
import { collectionPostings, correctionPostings, type AcceptedCash } from '#domain/journal/collection-postings';
import type { AccountRef, EntryKind, EntryPosting, JournalEntry } from '#domain/journal/types';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { SettlementResult } from '#domain/settlement/types';
import type { PartyId } from '#domain/terms/types';

/** What every entry has besides its postings. */
export interface EntryHead {
  readonly id: string;
  readonly date: LocalDate;
  readonly currency: CurrencyCode;
  /** The record that it comes from. */
  readonly sourceId: string;
}

/** Where cash or money in a bank is. */
export type MoneyPlace =
  | { readonly code: 'cash-with-collector'; readonly holderId: string }
  | { readonly code: 'cash-in-counting-room'; readonly holderId: null }
  | { readonly code: 'cash-in-float'; readonly holderId: string }
  /** Null: the operator's bank accounts as one. */
  | { readonly code: 'bank'; readonly holderId: string | null }
  | { readonly code: 'other-means'; readonly holderId: null };

/** Cash came out of the boxes: it lies where it lies, and waits to be settled. */
export function collectionAccepted(head: EntryHead, cash: AcceptedCash): JournalEntry {
  return entry(head, 'collection-accepted', collectionPostings(cash));
}

/** A count was corrected after its collection was accepted: only the difference is posted. */
export function collectionCorrected(head: EntryHead, correction: Parameters<typeof correctionPostings>[0]): JournalEntry {
  return entry(head, 'collection-corrected', correctionPostings(correction));
}

/** Cash moves between the operator's own places: collector to counting room, counting room to bank, a changer filled. */
export function moneyMoved(
  head: EntryHead,
  move: { readonly from: MoneyPlace; readonly to: MoneyPlace; readonly amountMinor: bigint },
): JournalEntry {
  return entry(head, 'money-moved', [
    { account: move.to, amountMinor: move.amountMinor },
    { account: move.from, amountMinor: -move.amountMinor },
  ]);
}

/** One of the operator's places of cash was counted: what is over or short of the books; below zero is short. */
export function cashCounted(head: EntryHead, count: { readonly place: MoneyPlace; readonly differenceMinor: bigint }): JournalEntry {
  return entry(head, 'cash-counted', [{ account: count.place, amountMinor: count.differenceMinor }, posting('cash-over-and-short', null, -count.differenceMinor)]);
}

export function settlementIssued(head: EntryHead, result: SettlementResult): JournalEntry {
  return entry(head, 'settlement-issued', result.postings);
}

export interface Payment {
  readonly party: PartyId;
  /** What the payment settles. */
  readonly amountMinor: bigint;
  /** What was handed over, where coins made that another amount. */
  readonly paidMinor: bigint;
  readonly from: MoneyPlace;
}

/** A payable is paid; cash rounding has an account of its own. */
export function paymentMade(head: EntryHead, payment: Payment): JournalEntry {
  return entry(head, 'payment', [
    posting('payable-to-payee', payment.party, payment.amountMinor),
    posting('cash-rounding', null, payment.paidMinor - payment.amountMinor),
    { account: payment.from, amountMinor: -payment.paidMinor },
  ]);
}

/** A payment on account, before the settlement that takes it into account; a negative amount is the payee's. */
export function paidOnAccount(
  head: EntryHead,
  payment: { readonly party: PartyId; readonly amountMinor: bigint; readonly from: MoneyPlace },
): JournalEntry {
  return entry(head, 'payment', [
    posting('cash-handed', payment.party, payment.amountMinor),
    { account: payment.from, amountMinor: -payment.amountMinor },
  ]);
}

/** A part of a payment is put on account, to be set off by a settlement; a negative amount takes it off again. */
export function paymentShifted(head: EntryHead, shift: { readonly party: PartyId; readonly amountMinor: bigint }): JournalEntry {
  return entry(head, 'payment-shifted', [posting('cash-handed', shift.party, shift.amountMinor), posting('payable-to-payee', shift.party, -shift.amountMinor)]);
}

/** An advance is given; settlements work it off. */
export function advancePaid(
  head: EntryHead,
  advance: { readonly party: PartyId; readonly amountMinor: bigint; readonly from: MoneyPlace },
): JournalEntry {
  return entry(head, 'advance-paid', [
    posting('advance-to-payee', advance.party, advance.amountMinor),
    { account: advance.from, amountMinor: -advance.amountMinor },
  ]);
}

/** A payee pays an advance back, or a part of it, outside a settlement. */
export function advancePaidBack(
  head: EntryHead,
  back: { readonly party: PartyId; readonly amountMinor: bigint; readonly to: MoneyPlace },
): JournalEntry {
  return entry(head, 'advance-paid-back', [
    { account: back.to, amountMinor: back.amountMinor },
    posting('advance-to-payee', back.party, -back.amountMinor),
  ]);
}

/** What a party owes (or an advance that will not come back) is given up; a negative amount gives up what the operator owes. */
export function writtenOff(
  head: EntryHead,
  debt: { readonly account: 'payable-to-payee' | 'advance-to-payee'; readonly party: PartyId; readonly amountMinor: bigint },
): JournalEntry {
  return entry(head, 'write-off', [posting('written-off', null, debt.amountMinor), posting(debt.account, debt.party, -debt.amountMinor)]);
}

/**
 * A return is filed: what settlements had booked as tax leaves the account where it waited, the tax of the return is owed to
 * the authority, and what lies between them has an account of its own. An amended return posts what has changed only.
 */
export function taxFiled(head: EntryHead, filed: { readonly areaId: string; readonly taxMinor: bigint; readonly bookedMinor: bigint }): JournalEntry {
  const { areaId, taxMinor, bookedMinor } = filed;
  return entry(head, 'tax-filed', [
    posting('tax-payable', areaId, bookedMinor),
    posting('tax-difference', areaId, taxMinor - bookedMinor),
    posting('tax-due', areaId, -taxMinor),
  ]);
}

/** What a filed return owes is paid to the authority; a negative amount is a refund by it. */
export function taxPaid(head: EntryHead, payment: { readonly areaId: string; readonly amountMinor: bigint; readonly from: MoneyPlace }): JournalEntry {
  return entry(head, 'tax-paid', [posting('tax-due', payment.areaId, payment.amountMinor), { account: payment.from, amountMinor: -payment.amountMinor }]);
}

/** Takes an entry back by its mirror image; the first one stays. */
export function reversed(head: EntryHead, original: JournalEntry): JournalEntry {
  return entry(
    head,
    original.kind === 'payment' ? 'payment-returned' : 'reversal',
    original.postings.map(({ account, amountMinor }) => ({ account, amountMinor: -amountMinor })),
  );
}

function entry(head: EntryHead, kind: EntryKind, postings: readonly EntryPosting[]): JournalEntry {
  const kept = postings.filter(({ amountMinor }) => amountMinor !== 0n);
  const offMinor = sumOf(kept);
  if (offMinor !== 0n) throw new Error(`An entry must balance but ${kind} ${head.id} is ${offMinor} off`);
  return { ...head, kind, postings: kept };
}

function posting(code: AccountCode, holderId: string | null, amountMinor: bigint): EntryPosting {
  const account: AccountRef = { code, holderId };
  return { account, amountMinor };
}

function sumOf(postings: readonly EntryPosting[]): bigint {
  return postings.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
}
