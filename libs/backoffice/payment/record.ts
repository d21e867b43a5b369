import { toAmount } from '#contracts/money';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Payment, RecordPayment } from '#contracts/payment';
import { toTerms, type TermsDocument } from '#contracts/terms';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { MoneyPlace } from '#domain/journal/entries';
import { paidOnAccount, paymentMade } from '#domain/journal/entries';
import type { JournalEntry } from '#domain/journal/types';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { refusedWhenClosed } from '../journal/period';
import { postEntries } from '../journal/post';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { onlyRow } from '../rows';
import { agreementsOfSettlements, lockAccount, readTermsOn, type Account } from './account.sql';
import { matchedItems } from './matching';
import { insertMatches, insertPayment, readPayment, type Method, type NewPayment } from './payment.sql';
import { paymentBodies } from './to-payment';

/**
 * Records money that changed hands between the operator and a payee, and what it settles: the settlements that are named,
 * else the oldest open items. More than what is due is refused, unless it is said to be a payment on account, which the
 * agreement's next settlement sets off.
 */
export function recordPayment(deps: Backoffice, caller: Caller, command: RecordPayment): Promise<Outcome<Payment>> {
  return perform<Payment>(
    deps,
    caller,
    'payment.record',
    async ({ tx, now }) => {
      const found = await accountOf(tx, command);
      if (!found.ok) return found;
      const account = found.value;
      const today = localDay({ instant: now, timeZone: account.time_zone });
      const wrong = wrongPayment(command, account, today);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);

      const closed = await refusedBooking(tx, { day: command.paidOn, field: 'paidOn', bookedOn: command.accountingDate });
      if (closed !== null) return closed;
      const written = command.onAccount === true ? await writeOnAccount(deps, tx, { command, account, now }) : await writeSettling(deps, tx, { command, account, now });
      if (!written.ok) return written;
      const row = await readPayment(tx, written.value.id);
      return done(onlyRow(await paymentBodies(tx, row === undefined ? [] : [row], { ownSites: false })));
    },
    { constraints: { payment_pkey: taken(['id'], 'a payment with this id') } },
  );
}

/** The account of the agreement, or of the one that the settlements belong to; locked. */
async function accountOf(tx: TenantTransaction, command: RecordPayment): Promise<Outcome<Account>> {
  const settlements = command.settlements ?? [];
  const agreements = await agreementsOfSettlements(tx, settlements.map((each) => each.settlementId));
  const agreementId = command.agreementId ?? agreements.get(settlements[0]?.settlementId ?? '');
  const wrong = settlements.flatMap(({ settlementId }, index): WrongField[] => {
    const own = agreements.get(settlementId);
    const path = ['settlements', index, 'settlementId'];
    if (own === undefined) return [{ path, code: 'unknown', message: 'There is no settlement with this id.' }];
    if (own === agreementId) return [];
    return [{ path, code: 'other-agreement', message: 'It belongs to another agreement: record a payment for each, with the same reference.' }];
  });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  const account = agreementId === undefined ? undefined : await lockAccount(tx, agreementId);
  if (account !== undefined) return done(account);
  return refusedFields('invalid-command', [{ path: ['agreementId'], code: 'unknown', message: 'There is no agreement with this id.' }]);
}

function wrongPayment(command: RecordPayment, account: Account, today: LocalDate | null): WrongField[] {
  const wrong: WrongField[] = [];
  const { partyId } = command;
  if (partyId !== undefined && partyId !== account.party_id && !account.other_party_ids.includes(partyId)) {
    wrong.push({ path: ['partyId'], code: 'no-payee', message: 'The agreement does not name this party.' });
  }
  const amounts = [{ path: ['amount'], money: command.amount }, ...(command.settlements ?? []).map(({ amount }, index) => ({ path: ['settlements', index, 'amount'], money: amount }))];
  for (const { path, money } of amounts) {
    if (money === undefined || money.currency === account.currency) continue;
    wrong.push(otherCurrency([...path, 'currency'], `Site ${account.site_code} is kept in`, account.currency));
  }
  if (today === null || command.paidOn > today) wrong.push({ path: ['paidOn'], code: 'in-the-future', message: 'Only what has been paid is recorded.' });
  else wrong.push(...wrongBooking({ day: command.paidOn, bookedOn: command.accountingDate, today }));
  return wrong;
}

type Writing = { readonly command: RecordPayment; readonly account: Account; readonly now: Date };

async function writeOnAccount(deps: Backoffice, tx: TenantTransaction, { command, account, now }: Writing): Promise<Outcome<NewPayment>> {
  const paidMinor = toAmount(command.amount).minor * signOf(command);
  const payment: NewPayment = { ...headOf(deps, command, account), kind: 'on-account', amountMinor: paidMinor, paidMinor };
  await insertPayment(tx, payment, now);
  await postEntries(tx, { entries: [entryOf(deps, payment)], recordedAt: now });
  return done(payment);
}

async function writeSettling(deps: Backoffice, tx: TenantTransaction, { command, account, now }: Writing): Promise<Outcome<NewPayment>> {
  const sign = signOf(command);
  const paidMinor = toAmount(command.amount).minor;
  const head = headOf(deps, command, account);
  const matched = await matchedItems(tx, {
    ...head,
    sign,
    paidMinor,
    settlements: command.settlements,
    smallestCoinMinor: command.method === 'cash' ? await smallestCoin(tx, account, command.paidOn) : null,
    over: 'refuse',
  });
  if (!matched.ok) return matched;
  const payment: NewPayment = { ...head, kind: 'settling', amountMinor: matched.value.settledMinor * sign, paidMinor: paidMinor * sign };
  await insertPayment(tx, payment, now);
  const matches = matched.value.matches.map(({ itemId, amountMinor }) => ({ id: deps.newId(), openItemId: itemId, amountMinor: amountMinor * sign }));
  await insertMatches(tx, { payment, kind: 'matched', matches, accountingDate: payment.accountingDate, now });
  await postEntries(tx, { entries: [entryOf(deps, payment)], recordedAt: now });
  return done(payment);
}

function signOf({ direction }: RecordPayment): 1n | -1n {
  return direction === 'from-payee' ? -1n : 1n;
}

function headOf(deps: Backoffice, command: RecordPayment, account: Account): Omit<NewPayment, 'kind' | 'amountMinor' | 'paidMinor'> {
  return {
    id: command.id ?? deps.newId(),
    agreementId: account.agreement_id,
    siteId: account.site_id,
    partyId: command.partyId ?? account.party_id,
    currency: account.currency,
    method: command.method,
    reference: command.reference ?? '',
    paidOn: command.paidOn,
    accountingDate: command.accountingDate ?? command.paidOn,
  };
}

/** A day to book something to lies between the day on which it happened and today. */
export function wrongBooking({ day, bookedOn, today }: { day: LocalDate; bookedOn: LocalDate | undefined; today: LocalDate }): WrongField[] {
  if (bookedOn === undefined || (bookedOn >= day && bookedOn <= today)) return [];
  return [{ path: ['accountingDate'], code: 'outside', message: `It is booked to a day from ${day} to ${today}.` }];
}

/** Refuses what would be booked into a closed month; names the day of booking where one was given, else the day of the event. */
export function refusedBooking(tx: TenantTransaction, asked: { day: LocalDate; field: string; bookedOn: LocalDate | undefined }): Promise<Outcome<never> | null> {
  const { day, field, bookedOn } = asked;
  return bookedOn === undefined
    ? refusedWhenClosed(tx, { day, path: [field], instead: 'Give a later booking day, or have an owner reopen the month.' })
    : refusedWhenClosed(tx, { day: bookedOn, path: ['accountingDate'] });
}

async function smallestCoin(tx: TenantTransaction, account: Account, day: LocalDate): Promise<bigint | null> {
  const terms = await readTermsOn(tx, { agreementId: account.agreement_id, day });
  return terms === null ? null : toTerms(terms as TermsDocument).payout.smallestCoinMinor;
}

/** What a payment posts; also what its return takes back. */
export function entryOf(deps: Pick<Backoffice, 'newId'>, payment: NewPayment): JournalEntry {
  const { id, kind, partyId: party, amountMinor, paidMinor, currency, accountingDate } = payment;
  const head = { id: deps.newId(), date: accountingDate, currency, sourceId: id };
  const from = placeOf(payment.method);
  return kind === 'on-account' ? paidOnAccount(head, { party, amountMinor, from }) : paymentMade(head, { party, amountMinor, paidMinor, from });
}

export function placeOf(method: Method): MoneyPlace {
  switch (method) {
    case 'bank':
      return { code: 'bank', holderId: null };
    case 'cash':
      return { code: 'cash-in-counting-room', holderId: null };
    case 'other':
      return { code: 'other-means', holderId: null };
  }
}
