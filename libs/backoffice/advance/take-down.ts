import type { Advance, PayBackAdvance, UndoReduction, WriteOffAdvance } from '#contracts/advance';
import { moneyOf, toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { advancePaidBack, reversed, writtenOff } from '#domain/journal/entries';
import type { JournalEntry } from '#domain/journal/types';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { postEntries, readPostedEntry } from '../journal/post';
import { refusedWhenClosed } from '../journal/period';
import { lockAccount } from '../payment/account.sql';
import { placeOf, refusedBooking, wrongBooking } from '../payment/record';
import { perform, type Unit } from '../perform';
import { otherCurrency } from '../refusal';
import { onlyRow } from '../rows';
import { insertReduction, readAdvance, readSteps, type AdvanceRow, type NewReduction } from './advance.sql';
import { advanceBodies, freeMinorFrom } from './to-advance';

type Command<Body> = { readonly id: string } & Body;
type Asked = { readonly row: AdvanceRow; readonly today: LocalDate };

/** The payee pays an advance back, or a part of it, outside a settlement. */
export function payBackAdvance(deps: Backoffice, caller: Caller, command: Command<PayBackAdvance>): Promise<Outcome<Advance>> {
  return takeDown(deps, caller, { id: command.id, action: 'advance.pay-back' }, async (unit, { row, today }) => {
    const { paidOn, amount, method } = command;
    if (amount !== undefined && amount.currency !== row.currency) {
      return refusedFields('invalid-command', [otherCurrency(['amount', 'currency'], `Site ${row.site_code} is kept in`, row.currency)]);
    }
    if (paidOn > today) return refusedFields('invalid-command', [{ path: ['paidOn'], code: 'in-the-future', message: 'Only what has been paid is recorded.' }]);
    if (paidOn < row.given_on) return refusedFields('invalid-command', [{ path: ['paidOn'], code: 'before-advance', message: `The advance was given on ${row.given_on}.` }]);
    const earliest = paidOn > row.accounting_date ? paidOn : row.accounting_date;
    const wrong = wrongBooking({ day: earliest, bookedOn: command.accountingDate, today });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const accountingDate = command.accountingDate ?? earliest;
    const closed = await refusedBooking(unit.tx, { day: earliest, field: 'paidOn', bookedOn: command.accountingDate });
    if (closed !== null) return closed;
    const asked = { amountMinor: amount === undefined ? row.open_minor : toAmount(amount).minor, accountingDate };
    const more = await refusedBeyond(unit, { row, ...asked, field: amount === undefined ? 'paidOn' : 'amount' });
    if (more !== null) return more;
    const document = command.document ?? '';
    return { id: deps.newId(), advanceId: row.id, agreementId: row.agreement_id, kind: 'paid-back', undoesId: null, ...asked, method, reason: '', document, happenedOn: paidOn };
  });
}

/** Gives up what is open of an advance. The loss has an account of its own; the advance is closed. */
export function writeOffAdvance(deps: Backoffice, caller: Caller, command: Command<WriteOffAdvance>): Promise<Outcome<Advance>> {
  return takeDown(deps, caller, { id: command.id, action: 'advance.write-off' }, async (unit, { row, today }) => {
    const accountingDate = command.accountingDate ?? today;
    const wrong = wrongBooking({ day: row.accounting_date, bookedOn: accountingDate, today });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const closed = await refusedWhenClosed(unit.tx, { day: accountingDate, path: ['accountingDate'] });
    if (closed !== null) return closed;
    const asked = { amountMinor: row.open_minor, accountingDate };
    const more = await refusedBeyond(unit, { row, ...asked, field: 'accountingDate' });
    if (more !== null) return more;
    const { reason } = command;
    return { id: deps.newId(), advanceId: row.id, agreementId: row.agreement_id, kind: 'written-off', undoesId: null, ...asked, method: null, reason, document: '', happenedOn: accountingDate };
  });
}

/** Takes back that an advance was paid back or written off, when that was a mistake: it is open again. */
export function undoAdvanceReduction(deps: Backoffice, caller: Caller, command: Command<UndoReduction>): Promise<Outcome<Advance>> {
  return takeDown(deps, caller, { id: command.id, action: 'advance.undo', closedToo: true }, async (unit, { row, today }) => {
    const { reductionId, reason } = command;
    const undoes = (await readSteps(unit.tx, [row.id])).find((step) => step.reduction_id === reductionId);
    if (undoes === undefined || undoes.kind === 'undone') {
      return refusedFields('invalid-command', [{ path: ['reductionId'], code: 'unknown', message: 'Nothing of this advance was paid back or written off under this id.' }]);
    }
    if (undoes.undone) return refused('wrong-state', { detail: 'It was undone already.' });
    const accountingDate = command.accountingDate ?? today;
    const wrong = wrongBooking({ day: undoes.accounting_date, bookedOn: accountingDate, today });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const closed = await refusedWhenClosed(unit.tx, { day: accountingDate, path: ['accountingDate'] });
    if (closed !== null) return closed;
    return {
      id: deps.newId(),
      advanceId: row.id,
      agreementId: row.agreement_id,
      kind: 'undone',
      undoesId: reductionId,
      amountMinor: undoes.amount_minor,
      accountingDate,
      method: null,
      reason,
      document: '',
      happenedOn: accountingDate,
    };
  });
}

/** At no day may the books have less than nothing open: what settlements worked off later counts, too. */
async function refusedBeyond({ tx }: Unit, asked: { row: AdvanceRow; amountMinor: bigint; accountingDate: LocalDate; field: string }): Promise<Outcome<never> | null> {
  const { row, amountMinor, accountingDate, field } = asked;
  const freeMinor = freeMinorFrom(row, await readSteps(tx, [row.id]), accountingDate);
  if (amountMinor <= freeMinor) return null;
  const free = moneyOf(freeMinor, row.currency);
  return refusedFields('invalid-command', [{ path: [field], code: 'larger-than-open', message: `Of this advance ${free.amount} ${free.currency} are open on ${accountingDate} and after.` }]);
}

async function entryOf(deps: Pick<Backoffice, 'newId'>, tx: TenantTransaction, { row, reduction }: { readonly row: AdvanceRow; readonly reduction: NewReduction }): Promise<JournalEntry> {
  const head = { id: deps.newId(), date: reduction.accountingDate, currency: row.currency, sourceId: reduction.id };
  const { amountMinor, method, undoesId } = reduction;
  if (undoesId !== null) {
    const original = (await readPostedEntry(tx, { kind: 'advance-paid-back', sourceId: undoesId })) ?? (await readPostedEntry(tx, { kind: 'write-off', sourceId: undoesId }));
    if (original === undefined) throw new Error(`reduction ${undoesId} has no entry`);
    return reversed(head, original);
  }
  return method === null
    ? writtenOff(head, { account: 'advance-to-payee', party: row.party_id, amountMinor })
    : advancePaidBack(head, { party: row.party_id, amountMinor, to: placeOf(method) });
}

/** Locks the account, then looks at the advance: whoever came before has finished. */
function takeDown(
  deps: Backoffice,
  caller: Caller,
  asked: { id: string; action: Action; closedToo?: true },
  reductionOf: (unit: Unit, asked: Asked) => Promise<NewReduction | Outcome<never>>,
): Promise<Outcome<Advance>> {
  return perform<Advance>(deps, caller, asked.action, async (unit) => {
    const { tx, now, refusal } = unit;
    const found = await readAdvance(tx, asked.id);
    if (found === undefined) return refused('not-found');
    const denied = refusal({ siteId: found.site_id });
    if (denied !== null) return denied;
    const account = await lockAccount(tx, found.agreement_id);
    const today = account === undefined ? null : localDay({ instant: now, timeZone: account.time_zone });
    if (today === null) throw new Error('an advance without its account, or a clock outside the calendar');
    const row = (await readAdvance(tx, asked.id)) ?? found;
    if (row.open_minor === 0n && asked.closedToo !== true) return refused('wrong-state', { detail: 'The advance is closed: nothing of it is open.' });
    const reduction = await reductionOf(unit, { row, today });
    if ('ok' in reduction) return reduction;
    await insertReduction(tx, reduction, now);
    await postEntries(tx, { entries: [await entryOf(deps, tx, { row, reduction })], recordedAt: now });
    const changed = (await readAdvance(tx, asked.id)) ?? row;
    return done(onlyRow(await advanceBodies(tx, [changed], { ownSites: false, on: null })));
  });
}
