import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { MatchPayment, Payment, PutPaymentOnAccount, ReturnPayment, UnmatchPayment } from '#contracts/payment';
import type { LocalDate } from '#domain/calendar/local-date';
import { reversed } from '#domain/journal/entries';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import { perform, type Unit } from '../perform';
import { onlyRow } from '../rows';
import { lockAccount } from './account.sql';
import { matchedItems } from './matching';
import { insertMatches, insertReturn, readMatches, readPayment, type MatchRow, type NewPayment, type PaymentRow } from './payment.sql';
import { entryOf, refusedBooking, wrongBooking } from './record';
import { shift, shiftsTakenBack } from './shift';
import { paymentBodies, standingMatches, unmatchedMinorOf } from './to-payment';

type Command = { readonly id: string };

/**
 * Matches what is left of a payment with the settlements that are named, else with the oldest open items. What waits on
 * account and no settlement has set off is left, too: as much of it as is matched is taken off account.
 */
export function matchAgain(deps: Backoffice, caller: Caller, command: Command & MatchPayment): Promise<Outcome<Payment>> {
  return changePayment(deps, caller, { id: command.id, action: 'payment.match' }, async (unit, row, today) => {
    const { tx, now } = unit;
    const unmatchedMinor = unmatchedMinorOf(row);
    const restMinor = unmatchedMinor + (row.set_off_id === null && row.returned_on === null ? row.on_account_minor : 0n);
    if (restMinor === 0n) return refused('wrong-state', { detail: 'Nothing of the payment is left to match.' });
    const sign = restMinor < 0n ? -1n : 1n;
    const payment = paymentIn(row);
    const accountingDate = row.accounting_date > today ? row.accounting_date : today;
    const matched = await matchedItems(tx, {
      ...payment,
      sign,
      paidMinor: restMinor * sign,
      settlements: command.settlements,
      smallestCoinMinor: null,
      accountingDate,
      over: 'leave',
    });
    if (!matched.ok) return matched;
    const offAccountMinor = matched.value.settledMinor * sign - unmatchedMinor;
    if (row.on_account_minor !== 0n && offAccountMinor * sign > 0n) await shift(deps, unit, { row, amountMinor: -offAccountMinor, accountingDate, note: null });
    const matches = matched.value.matches.map(({ itemId, amountMinor }) => ({ id: deps.newId(), openItemId: itemId, amountMinor: amountMinor * sign }));
    await insertMatches(tx, { payment, kind: 'matched', matches, accountingDate, now });
    return null;
  });
}

/** Puts what of a payment settles nothing on account: the next settlement of the agreement sets it off. */
export function putOnAccount(deps: Backoffice, caller: Caller, command: Command & PutPaymentOnAccount): Promise<Outcome<Payment>> {
  return changePayment(deps, caller, { id: command.id, action: 'payment.match' }, async (unit, row, today) => {
    const amountMinor = unmatchedMinorOf(row);
    if (amountMinor === 0n) return refused('wrong-state', { detail: 'Nothing of the payment is left to put on account.' });
    if (row.set_off_number !== null) return refused('wrong-state', { detail: `Statement ${row.set_off_number} has set it off already; the rest stays as it is.` });
    await shift(deps, unit, { row, amountMinor, accountingDate: row.accounting_date > today ? row.accounting_date : today, note: command.note });
    return null;
  });
}

/** Takes a payment off the items that it settles: they are open again, and the money waits to be matched anew. */
export function unmatchPayment(deps: Backoffice, caller: Caller, command: Command & UnmatchPayment): Promise<Outcome<Payment>> {
  return changePayment(deps, caller, { id: command.id, action: 'payment.match' }, async ({ tx, now }, row, today) => {
    if (row.matched_minor === 0n) return refused('wrong-state', { detail: 'The payment is matched with nothing.' });
    const matches = await readMatches(tx, [row.id]);
    const accountingDate = latest(today, lastMatchedOn(matches));
    await insertMatches(tx, { payment: paymentIn(row), kind: 'unmatched', matches: takenBack(deps, matches), accountingDate, note: command.note, now });
    return null;
  });
}

/**
 * Notes that the money came back. What it settled is open again with its old date; the journal gets the mirror image of
 * the payment. One on account that a settlement has taken into account stays: that settlement's figures rest on it.
 */
export function returnPayment(deps: Backoffice, caller: Caller, command: Command & ReturnPayment): Promise<Outcome<Payment>> {
  return changePayment(deps, caller, { id: command.id, action: 'payment.return' }, async ({ tx, now }, row, today) => {
    if (row.returned_on !== null) return refused('wrong-state', { detail: `It came back on ${row.returned_on} already.` });
    if (row.set_off_number !== null) {
      return refused('wrong-state', { detail: `Statement ${row.set_off_number} has set it off. Reverse that settlement first; the payment is then free.` });
    }
    const matches = await readMatches(tx, [row.id]);
    const earliest = latest(row.paid_on, lastMatchedOn(matches));
    const { returnedOn } = command;
    if (returnedOn > today) return refusedFields('invalid-command', [{ path: ['returnedOn'], code: 'in-the-future', message: 'Only what has come back is recorded.' }]);
    if (returnedOn < earliest) {
      return refusedFields('invalid-command', [{ path: ['returnedOn'], code: 'before-payment', message: `The payment was made and matched by ${earliest}; it cannot have come back before.` }]);
    }
    const wrong = wrongBooking({ day: latest(returnedOn, row.accounting_date), bookedOn: command.accountingDate, today });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const id = deps.newId();
    const accountingDate = command.accountingDate ?? latest(returnedOn, row.accounting_date);
    const closed = await refusedBooking(tx, { day: accountingDate, field: 'returnedOn', bookedOn: command.accountingDate });
    if (closed !== null) return closed;
    const payment = paymentIn(row);
    await insertReturn(tx, { id, paymentId: row.id, returnedOn, accountingDate, reason: command.reason, now });
    await insertMatches(tx, { payment, kind: 'returned', matches: takenBack(deps, matches), accountingDate, note: command.reason, now });
    const head = { id: deps.newId(), date: accountingDate, currency: row.currency, sourceId: id };
    const back = reversed(head, entryOf(deps, payment));
    await postEntries(tx, { entries: [{ ...back, postings: [...back.postings, ...shiftsTakenBack(row)] }], recordedAt: now });
    return null;
  });
}

/** The mirror image of what stands matched. */
function takenBack(deps: Backoffice, matches: readonly MatchRow[]): { id: string; openItemId: string; amountMinor: bigint }[] {
  return standingMatches(matches).map(({ row, amountMinor }) => ({ id: deps.newId(), openItemId: row.open_item_id, amountMinor: -amountMinor }));
}

function lastMatchedOn(matches: readonly MatchRow[]): LocalDate | undefined {
  return matches.map((match) => match.accounting_date).sort().at(-1);
}

function latest(day: LocalDate, other: LocalDate | undefined): LocalDate {
  return other !== undefined && other > day ? other : day;
}

function paymentIn(row: PaymentRow): NewPayment {
  return {
    id: row.id,
    kind: row.kind,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    partyId: row.party_id,
    currency: row.currency,
    amountMinor: row.amount_minor,
    paidMinor: row.paid_minor,
    method: row.method,
    reference: row.reference,
    paidOn: row.paid_on,
    accountingDate: row.accounting_date,
  };
}

/** Locks the account, then looks at the payment: whoever came before has finished. */
function changePayment(
  deps: Backoffice,
  caller: Caller,
  asked: { id: string; action: Action },
  work: (unit: Unit, row: PaymentRow, today: LocalDate) => Promise<Outcome<never> | null>,
): Promise<Outcome<Payment>> {
  return perform<Payment>(deps, caller, asked.action, async (unit) => {
    const { tx, now, refusal } = unit;
    const found = await readPayment(tx, asked.id);
    if (found === undefined) return refused('not-found');
    const denied = refusal({ siteId: found.site_id });
    if (denied !== null) return denied;
    const account = await lockAccount(tx, found.agreement_id);
    const today = account === undefined ? null : localDay({ instant: now, timeZone: account.time_zone });
    if (today === null) throw new Error('a payment without its account, or a clock outside the calendar');
    const row = (await readPayment(tx, asked.id)) ?? found;
    const refusedNow = await work(unit, row, today);
    if (refusedNow !== null) return refusedNow;
    const changed = await readPayment(tx, asked.id);
    return done(onlyRow(await paymentBodies(tx, changed === undefined ? [] : [changed], { ownSites: false })));
  });
}
