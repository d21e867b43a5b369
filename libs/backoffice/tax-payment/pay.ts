import { formatInstant } from '#contracts/format';
import { moneyOf, toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { RecordTaxPayment, ReturnTaxPayment, TaxPayment, TaxPaymentListQuery } from '#contracts/tax-payment';
import { localDate, type LocalDate } from '#domain/calendar/local-date';
import { reversed, taxPaid } from '#domain/journal/entries';
import type { JournalEntry } from '#domain/journal/types';
import type { CurrencyCode } from '#domain/money/currency';
import { z } from 'zod';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import { decodeCursor, toPage } from '../page';
import { placeOf, refusedBooking, wrongBooking } from '../payment/record';
import { perform, type Unit } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { onlyRow } from '../rows';
import { readOperator } from '../settlement/number.sql';
import { lockTaxArea, selectTaxArea } from '../tax/tax.sql';
import { selectLastReturn } from '../tax-return/return.sql';
import { insertTaxPayment, insertTaxPaymentReturn, readPaidMinor, selectTaxPayment, selectTaxPayments, type NewTaxPayment, type TaxPaymentRow } from './tax-payment.sql';

/**
 * Records what was paid to the authority of an area for a filing month, or refunded by it: no more than the last return of
 * the month leaves open. It leaves the account of tax that is owed.
 */
export function recordTaxPayment(deps: Backoffice, caller: Caller, command: RecordTaxPayment & { readonly areaId: string }): Promise<Outcome<TaxPayment>> {
  const { areaId, month, paidOn, accountingDate } = command;
  return perform<TaxPayment>(
    deps,
    caller,
    'tax-return.pay',
    async (unit) => {
      const { tx, now } = unit;
      if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
      const first = localDate(`${month}-01`);
      const last = await selectLastReturn(tx, { areaId, month: first });
      if (last === null) return refusedFields('invalid-command', [{ path: ['month'], code: 'not-filed', message: 'No return of this month is recorded: what is owed is not known yet.' }]);
      const sign = command.direction === 'from-authority' ? -1n : 1n;
      const openMinor = (last.tax_minor - (await readPaidMinor(tx, { areaId, month: first }))) * sign;
      const wrong = wrongPayment(command, { currency: last.currency, openMinor, today: await todayOf(unit) });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const closed = await refusedBooking(tx, { day: paidOn, field: 'paidOn', bookedOn: accountingDate });
      if (closed !== null) return closed;
      const payment: NewTaxPayment = {
        id: command.id ?? deps.newId(), tax_area_id: areaId, month: first, currency: last.currency, amount_minor: toAmount(command.amount).minor * sign, method: command.method,
        reference: command.reference ?? '', paid_on: paidOn, accounting_date: accountingDate ?? paidOn,
      };
      await insertTaxPayment(tx, payment, now);
      await postEntries(tx, { entries: [entryOf(deps, payment)], recordedAt: now });
      return readBack(unit, payment);
    },
    { constraints: { tax_payment_pkey: taken(['id'], 'a payment with this id') } },
  );
}

/** Notes that the money came back, or that the payment was entered by mistake: the month is as open as before. */
export function returnTaxPayment(deps: Backoffice, caller: Caller, command: ReturnTaxPayment & { readonly areaId: string; readonly paymentId: string }): Promise<Outcome<TaxPayment>> {
  const { areaId, paymentId, returnedOn } = command;
  return perform<TaxPayment>(deps, caller, 'tax-return.pay', async (unit) => {
    const { tx, now } = unit;
    if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
    const row = await selectTaxPayment(tx, { areaId, id: paymentId });
    if (row === null) return refused('not-found');
    if (row.returned_on !== null) return refused('wrong-state', { detail: `It came back on ${row.returned_on} already.` });
    const today = await todayOf(unit);
    if (returnedOn > today || returnedOn < row.paid_on) {
      return refusedFields('invalid-command', [{ path: ['returnedOn'], code: 'outside', message: `It came back on a day from ${row.paid_on} to ${today}.` }]);
    }
    const earliest = returnedOn > row.accounting_date ? returnedOn : row.accounting_date;
    const wrong = wrongBooking({ day: earliest, bookedOn: command.accountingDate, today });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const accountingDate = command.accountingDate ?? earliest;
    const closed = await refusedBooking(tx, { day: accountingDate, field: 'returnedOn', bookedOn: command.accountingDate });
    if (closed !== null) return closed;
    const id = deps.newId();
    await insertTaxPaymentReturn(tx, { id, paymentId: row.id, returnedOn, accountingDate, reason: command.reason, now });
    const head = { id: deps.newId(), date: accountingDate, currency: row.currency, sourceId: id };
    await postEntries(tx, { entries: [reversed(head, entryOf(deps, row))], recordedAt: now });
    return readBack(unit, row);
  });
}

/** Payments of an area, the newest first. */
export function listTaxPayments(deps: Backoffice, caller: Caller, query: TaxPaymentListQuery & { readonly areaId: string }): Promise<Outcome<Page<TaxPayment>>> {
  return perform<Page<TaxPayment>>(deps, caller, 'tax-return.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    if ((await selectTaxArea(tx, query.areaId)) === null) return refused('not-found');
    const rows = await selectTaxPayments(tx, { areaId: query.areaId, month: query.month === undefined ? null : `${query.month}-01`, after, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: toTaxPayment, keyOf: (row) => [row.paid_on, row.id] }));
  });
}

function wrongPayment(command: RecordTaxPayment, due: { currency: CurrencyCode; openMinor: bigint; today: LocalDate }): WrongField[] {
  const { amount, paidOn, accountingDate } = command;
  const { currency, openMinor, today } = due;
  const wrong: WrongField[] = [];
  if (amount.currency !== currency) wrong.push(otherCurrency(['amount', 'currency'], 'The tax of the area is in', currency));
  else if (toAmount(amount).minor > openMinor) {
    const open = openMinor > 0n ? `${moneyOf(openMinor, amount.currency).amount} ${currency}` : 'nothing';
    wrong.push({ path: ['amount'], code: 'larger-than-due', message: `More than the last return of the month leaves open in this direction, which is ${open}.` });
  }
  if (paidOn > today) wrong.push({ path: ['paidOn'], code: 'in-the-future', message: 'Only what has been paid is recorded.' });
  else wrong.push(...wrongBooking({ day: paidOn, bookedOn: accountingDate, today }));
  return wrong;
}

function entryOf(deps: Pick<Backoffice, 'newId'>, payment: NewTaxPayment): JournalEntry {
  const head = { id: deps.newId(), date: payment.accounting_date, currency: payment.currency, sourceId: payment.id };
  return taxPaid(head, { areaId: payment.tax_area_id, amountMinor: payment.amount_minor, from: placeOf(payment.method) });
}

async function todayOf({ tx, now }: Unit): Promise<LocalDate> {
  const today = localDay({ instant: now, timeZone: (await readOperator(tx)).time_zone });
  if (today === null) throw new Error('the clock is outside the calendar');
  return today;
}

async function readBack({ tx }: Unit, payment: NewTaxPayment): Promise<Outcome<TaxPayment>> {
  const row = await selectTaxPayment(tx, { areaId: payment.tax_area_id, id: payment.id });
  return done(toTaxPayment(onlyRow(row === null ? [] : [row])));
}

function toTaxPayment(row: TaxPaymentRow): TaxPayment {
  const sign = row.amount_minor < 0n ? -1n : 1n;
  return {
    id: row.id,
    taxAreaId: row.tax_area_id,
    month: row.month.slice(0, 7),
    direction: sign === 1n ? 'to-authority' : 'from-authority',
    amount: moneyOf(row.amount_minor * sign, row.currency),
    method: row.method,
    reference: row.reference,
    paidOn: row.paid_on,
    accountingDate: row.accounting_date,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    returned:
      row.returned_on === null || row.return_recorded_at === null
        ? null
        : { returnedOn: row.returned_on, reason: row.return_reason ?? '', recordedAt: formatInstant(row.return_recorded_at), recordedBy: row.return_recorded_by ?? '' },
  };
}
