import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { PaymentRun, RecordRunPayments } from '#contracts/payment-run';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import { readAccountItems, type OpenItemRow } from '../open-item/open-item.sql';
import { openMinorOf } from '../open-item/to-open-item';
import { presentOperator } from '../operator/operator.sql';
import { lockAccount } from '../payment/account.sql';
import { insertMatches, insertPayment, readPayment, type NewMatch, type NewPayment } from '../payment/payment.sql';
import { entryOf, refusedBooking, wrongBooking } from '../payment/record';
import { shift } from '../payment/shift';
import type { Unit } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { changeRun } from './change-run';
import { bankReference } from './make-file';
import { selectOnAccount } from './payables.sql';
import { releaseItems, selectRunItems, selectTransfers, updatePaid, updateRefused, type PaymentRunRow, type TransferRow } from './payment-run.sql';
import { sayNotPaid } from './refused-by-bank';

type Booking = { readonly row: PaymentRunRow; readonly paidOn: LocalDate; readonly accountingDate: LocalDate };

/**
 * Enters what the bank paid: a payment per transfer that it did not refuse, matched with the settlements of the run, after what was paid on account
 * is matched with them. Where a settlement was paid or reversed meanwhile, the money is recorded all the same and waits to be
 * matched: it has left the bank. Where all the money is matched and something is open still, another run can pay the rest.
 */
export function recordRunPayments(deps: Backoffice, caller: Caller, command: { readonly id: string } & RecordRunPayments): Promise<Outcome<PaymentRun>> {
  return changeRun(deps, caller, { id: command.id, action: 'payment-run.confirm', from: ['sent'], checked: false }, async (unit, row) => {
    const { tx, now } = unit;
    const today = localDay({ instant: now, timeZone: (await presentOperator(tx)).time_zone });
    if (today === null) throw new Error('the clock is outside the calendar');
    const transfers = await selectTransfers(tx, row.id);
    const wrong = [...wrongDays(command, row, today), ...wrongRefusals(command, transfers)];
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const closed = await refusedBooking(tx, { day: command.paidOn, field: 'paidOn', bookedOn: command.accountingDate });
    if (closed !== null) return closed;
    const { refused: notPaid = [] } = command;
    const said = notPaid.length === 0 ? done(null) : await sayNotPaid(tx, row, now);
    if (!said.ok) return said;
    await updateRefused(tx, { transfers: notPaid, now });
    const items = groupBy(await selectRunItems(tx, row.id), (item) => item.transfer_id);
    for (const agreementId of [...new Set(transfers.map((transfer) => transfer.agreement_id))].sort()) {
      if ((await lockAccount(tx, agreementId)) === undefined) return refused('not-found');
    }
    const booking = { row, paidOn: command.paidOn, accountingDate: command.accountingDate ?? command.paidOn };
    const payments: { transferId: string; paymentId: string }[] = [];
    for (const transfer of transfers.filter(({ id }) => notPaid.every(({ transferId }) => transferId !== id))) {
      const ids = new Set((items.get(transfer.id) ?? []).map((item) => item.open_item_id));
      if (transfer.on_account_minor > 0n) await takeOffAccount(deps, unit, { transfer, ids, booking });
      const { paymentId, leftMinor } = await recordTransfer(deps, unit, { transfer, ids, booking });
      payments.push({ transferId: transfer.id, paymentId });
      if (leftMinor === 0n) await releaseRest(unit, { transfer, ids });
    }
    await updatePaid(tx, { id: row.id, paidOn: command.paidOn, payments, now });
    return null;
  });
}

function wrongDays({ paidOn, accountingDate }: RecordRunPayments, { sent_on: sentOn }: PaymentRunRow, today: LocalDate): WrongField[] {
  if (paidOn > today) return [{ path: ['paidOn'], code: 'in-the-future', message: 'Only what has been paid is recorded.' }];
  if (sentOn !== null && paidOn < sentOn) return [{ path: ['paidOn'], code: 'before-sent', message: `The bank got the file on ${sentOn}.` }];
  return wrongBooking({ day: paidOn, bookedOn: accountingDate, today });
}

function wrongRefusals({ refused: notPaid = [] }: RecordRunPayments, transfers: readonly TransferRow[]): WrongField[] {
  const named = new Set<string>();
  const wrong = notPaid.flatMap(({ transferId }, index): WrongField[] => {
    const path = ['refused', index, 'transferId'];
    if (!transfers.some(({ id }) => id === transferId)) return [{ path, code: 'not-in-this-run', message: 'The run has no such transfer.' }];
    if (named.has(transferId)) return [{ path, code: 'named-twice', message: 'The transfer is named twice.' }];
    named.add(transferId);
    return [];
  });
  if (wrong.length === 0 && named.size === transfers.length) wrong.push({ path: ['refused'], code: 'nothing-paid', message: 'If the bank paid nothing of the file, cancel the run as refused by the bank.' });
  return wrong;
}

type OfTransfer = { readonly transfer: TransferRow; readonly ids: ReadonlySet<string>; readonly booking: Booking };

/** What was kept back of the transfer because it was paid on account: it settles the same settlements, the oldest first. */
async function takeOffAccount(deps: Backoffice, unit: Unit, { transfer, ids, booking }: OfTransfer): Promise<void> {
  const { tx, now } = unit;
  let leftMinor = transfer.on_account_minor;
  const waiting = (await selectOnAccount(tx, [transfer.agreement_id])).filter((each) => each.party_id === transfer.party_id);
  for (const { payment_id: paymentId, on_account_minor: onAccountMinor } of waiting) {
    const row = await readPayment(tx, paymentId);
    if (row === undefined || leftMinor === 0n) break;
    const accountingDate = row.accounting_date > booking.accountingDate ? row.accounting_date : booking.accountingDate;
    const matches = oldestFirst(deps, await openItems(tx, { transfer, ids, accountingDate }), onAccountMinor < leftMinor ? onAccountMinor : leftMinor);
    const amountMinor = matches.reduce((sum, match) => sum + match.amountMinor, 0n);
    if (amountMinor === 0n) break;
    await shift(deps, unit, { row, amountMinor: -amountMinor, accountingDate, note: null });
    const payment = { id: row.id, agreementId: row.agreement_id, partyId: row.party_id, currency: row.currency };
    await insertMatches(tx, { payment, kind: 'matched', matches, accountingDate, now });
    leftMinor -= amountMinor;
  }
}

async function recordTransfer(deps: Backoffice, { tx, now }: Unit, { transfer, ids, booking }: OfTransfer): Promise<{ paymentId: string; leftMinor: bigint }> {
  const payment: NewPayment = {
    id: deps.newId(),
    kind: 'settling',
    agreementId: transfer.agreement_id,
    siteId: transfer.site_id,
    partyId: transfer.party_id,
    currency: booking.row.currency,
    amountMinor: transfer.amount_minor,
    paidMinor: transfer.amount_minor,
    method: 'bank',
    reference: bankReference(transfer.id),
    paidOn: booking.paidOn,
    accountingDate: booking.accountingDate,
  };
  const matches = oldestFirst(deps, await openItems(tx, { transfer, ids, accountingDate: booking.accountingDate }), transfer.amount_minor);
  await insertPayment(tx, payment, now);
  await insertMatches(tx, { payment, kind: 'matched', matches, accountingDate: payment.accountingDate, now });
  await postEntries(tx, { entries: [entryOf(deps, payment)], recordedAt: now });
  return { paymentId: payment.id, leftMinor: matches.reduce((left, match) => left - match.amountMinor, transfer.amount_minor) };
}

/** What is kept back for a payment on account that was set off elsewhere meanwhile is due all the same. */
async function releaseRest({ tx, now }: Unit, { transfer, ids }: Omit<OfTransfer, 'booking'>): Promise<void> {
  const rows = await readAccountItems(tx, { agreementId: transfer.agreement_id, partyId: transfer.party_id });
  const openItemIds = rows.filter((item) => ids.has(item.id) && openMinorOf(item) > 0n).map(({ id }) => id);
  await releaseItems(tx, { transferId: transfer.id, openItemIds, now });
}

/** What is open of the items of a transfer; none that is in the books later than the payment. */
async function openItems(tx: TenantTransaction, asked: { transfer: TransferRow; ids: ReadonlySet<string>; accountingDate: LocalDate }): Promise<OpenItemRow[]> {
  const rows = await readAccountItems(tx, { agreementId: asked.transfer.agreement_id, partyId: asked.transfer.party_id });
  return rows.filter((item) => asked.ids.has(item.id) && !item.held && openMinorOf(item) > 0n && item.dated_on <= asked.accountingDate);
}

function oldestFirst(deps: Pick<Backoffice, 'newId'>, items: readonly OpenItemRow[], paidMinor: bigint): NewMatch[] {
  let leftMinor = paidMinor;
  return items.flatMap((item): NewMatch[] => {
    const openMinor = openMinorOf(item);
    const amountMinor = openMinor < leftMinor ? openMinor : leftMinor;
    leftMinor -= amountMinor;
    return amountMinor === 0n ? [] : [{ id: deps.newId(), openItemId: item.id, amountMinor }];
  });
}
