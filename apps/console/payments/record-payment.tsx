import { useId, useState } from 'react';
import type { RecordPaymentData } from '../generated';
import type { OpenItem, PartyAccount } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, isNegative, isZero, negated, sum, unitsOf, type Money } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { MethodField, type Method } from '../parts/booking-fields';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { allocate } from './allocate';
import { ItemChoice } from './item-choice';
import { atSite } from './queries';

type Body = RecordPaymentData['body'];
type Direction = NonNullable<Body['direction']>;

interface Typed {
  readonly direction: Direction;
  readonly amount: string;
  readonly method: Method;
  readonly reference: string;
  readonly paidOn: string;
  readonly accountingDate: string;
  readonly onAccount: boolean;
  /** Settlements; null as long as nobody has chosen: all. */
  readonly chosen: readonly string[] | null;
}

interface RecordPaymentProps {
  readonly siteId: string;
  readonly account: PartyAccount;
  /** Of this account, the oldest first. */
  readonly items: readonly OpenItem[];
  readonly onClose: () => void;
}

/** Money that changed hands, and which statements it pays. */
export function RecordPayment({ siteId, account, items, onClose }: RecordPaymentProps) {
  const { api } = useOperator();
  const id = useId();
  const { partyName, currency } = account;
  const payable = items.filter(({ open, state }) => !isZero(open) && state !== 'disputed');
  const owedBack = payable.length > 0 && payable.every(({ open }) => isNegative(open));
  const [typed, setTyped] = useState<Typed>({ direction: owedBack ? 'from-payee' : 'to-payee', amount: '', method: 'bank', reference: '', paidOn: '', accountingDate: '', onAccount: false, chosen: null });
  const set = (part: Partial<Typed>) => setTyped((before) => ({ ...before, ...part }));
  const fields = { amount: `${id}-amount`, paidOn: `${id}-on`, reference: `${id}-reference`, accountingDate: `${id}-booked`, settlements: `${id}-items`, direction: `${id}-direction`, method: `${id}-method` };
  const offered = payable.filter(({ open }) => isNegative(open) === (typed.direction === 'from-payee'));
  const taken = offered.filter(({ settlementId }) => typed.chosen === null || typed.chosen.includes(settlementId));
  const text = words.payments;
  return (
    <Booking
      title={text.with(partyName)} action={text.action} send={api.recordPayment} refresh={atSite(siteId)} fields={fields} onClose={onClose}
      read={() => readPayment({ typed, taken, account, fields })}
    >
      {(errors) => (
        <>
          <div className="field">
            <label htmlFor={fields.direction}>{text.direction}</label>
            <select id={fields.direction} value={typed.direction} onChange={(event) => set({ direction: event.currentTarget.value as Direction, chosen: null, onAccount: false })}>
              <option value="to-payee">{text.toPayee(partyName)}</option>
              <option value="from-payee">{text.fromPayee(partyName)}</option>
            </select>
          </div>
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(currency)} error={errorAt(errors, fields.amount)} value={typed.amount} onValue={(amount) => set({ amount })} />
          <Field id={fields.paidOn} type="date" label={words.booking.paidOn} error={errorAt(errors, fields.paidOn)} value={typed.paidOn} onValue={(paidOn) => set({ paidOn })} />
          <MethodField id={fields.method} value={typed.method} onValue={(method) => set({ method })} />
          <ItemChoice
            id={fields.settlements} items={offered} taken={taken} error={errorAt(errors, fields.settlements)} onAccount={typed.onAccount}
            onTaken={(chosen) => set({ chosen })}
            onOnAccount={typed.direction === 'to-payee' ? (onAccount) => set({ onAccount }) : null}
          />
          <Field id={fields.reference} label={words.booking.reference} hint={words.booking.referenceHint} maxLength={140} error={errorAt(errors, fields.reference)} value={typed.reference} onValue={(reference) => set({ reference })} />
          <Field id={fields.accountingDate} type="date" label={words.booking.bookedOn} hint={words.booking.bookedOnHint} error={errorAt(errors, fields.accountingDate)} value={typed.accountingDate} onValue={(accountingDate) => set({ accountingDate })} />
        </>
      )}
    </Booking>
  );
}

interface Reading {
  readonly typed: Typed;
  readonly taken: readonly OpenItem[];
  readonly account: PartyAccount;
  readonly fields: { readonly amount: string; readonly paidOn: string; readonly settlements: string };
}

function readPayment({ typed, taken, account, fields }: Reading): Filled<Body> {
  const { direction, onAccount, method, paidOn, accountingDate } = typed;
  const paid = readTypedAmount({ text: typed.amount, currency: account.currency, locale });
  const errors: FormError[] = [
    ...(paid === null ? [{ fieldId: fields.amount, message: words.booking.amountMissing(formatAmount({ ...account.closing, amount: exampleOf(account.closing) }, locale)) }] : []),
    ...(paidOn === '' ? [{ fieldId: fields.paidOn, message: words.booking.dayMissing }] : []),
    ...(onAccount || taken.length > 0 ? [] : [{ fieldId: fields.settlements, message: words.payments.itemMissing }]),
    ...tooMuch({ typed, taken, paid, fieldId: fields.amount }),
  ];
  if (paid === null || errors.length > 0) return { errors };
  const body: Body = {
    agreementId: account.agreementId, partyId: account.partyId, direction, amount: paid, method, reference: typed.reference, paidOn,
    ...(accountingDate === '' ? {} : { accountingDate }),
    ...(onAccount ? { onAccount: true } : { settlements: allocate({ paid, items: taken }).parts.map(({ item }) => ({ settlementId: item.settlementId })) }),
  };
  return { body, books: sentences({ typed, taken, paid, party: account.partyName }) };
}

/** Twelve and a half, with the digits of the currency. */
function exampleOf({ amount }: Money): string {
  const digits = amount.split('.')[1]?.length ?? 0;
  return digits === 0 ? '1250' : `12.${'5'.padEnd(digits, '0')}`;
}

/** Cash may be more than is open by the rounding to coins: that is for the books to judge. */
function tooMuch({ typed, taken, paid, fieldId }: { typed: Typed; taken: readonly OpenItem[]; paid: Money | null; fieldId: string }): FormError[] {
  const due = sum(taken.map(({ open }) => (isNegative(open) ? negated(open) : open)));
  if (paid === null || due === null || typed.onAccount || typed.method === 'cash' || unitsOf(paid) <= unitsOf(due)) return [];
  const message = typed.direction === 'to-payee' ? words.payments.tooMuch : words.payments.tooMuchOwed;
  return [{ fieldId, message: message(formatMoney(due, locale)) }];
}

function sentences({ typed, taken, paid, party }: { typed: Typed; taken: readonly OpenItem[]; paid: Money; party: string }): string[] {
  const text = words.payments.books;
  const { direction, method, paidOn, accountingDate, onAccount } = typed;
  const moved = { party, amount: formatMoney(paid, locale), method: words.booking.paidBy[method], day: formatDay(paidOn, locale) };
  const matched = allocate({ paid, items: taken }).parts.map(({ item: { number }, pays, rest }) =>
    isZero(rest) ? text.whole(number, formatMoney(pays, locale)) : text.part({ number, pays: formatMoney(pays, locale), rest: formatMoney(rest, locale) }),
  );
  return [
    direction === 'to-payee' ? text.out(moved) : text.in(moved),
    ...(onAccount ? [text.onAccount] : matched),
    ...(method === 'cash' && !onAccount ? [text.coins] : []),
    ...(accountingDate === '' ? [] : [words.booking.underDay(formatDay(accountingDate, locale))]),
  ];
}
