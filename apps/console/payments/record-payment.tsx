import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { RecordPaymentData } from '../generated';
import type { AgreementVersion, OpenItem, PartyAccount } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, isNegative, isZero, negated, sum, type Money } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { BookedOnField, bookedOn, MethodField, underDay, type Method } from '../parts/booking-fields';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ItemChoice } from './item-choice';
import { versionsOfQuery } from '../sites/queries';
import { atSite } from './queries';
import { settles, type Settles } from './settles';

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
  const versions = useQuery(versionsOfQuery(api, account.agreementId));
  const [typed, setTyped] = useState<Typed>({ direction: owedBack ? 'from-payee' : 'to-payee', amount: '', method: 'bank', reference: '', paidOn: '', accountingDate: '', onAccount: false, chosen: null });
  const set = (part: Partial<Typed>) => setTyped((before) => ({ ...before, ...part }));
  const fields = { amount: `${id}-amount`, paidOn: `${id}-on`, reference: `${id}-reference`, accountingDate: `${id}-booked`, settlements: `${id}-items`, direction: `${id}-direction`, method: `${id}-method` };
  const offered = payable.filter(({ open }) => isNegative(open) === (typed.direction === 'from-payee'));
  const taken = offered.filter(({ settlementId }) => typed.chosen === null || typed.chosen.includes(settlementId));
  const together = sum(taken.map(({ open }) => open));
  const openSum = together === null || !isNegative(together) ? together : negated(together);
  const text = words.payments;
  return (
    <Booking
      title={text.with(partyName)} action={text.action} send={api.recordPayment} refresh={atSite(siteId)} fields={fields} needs={[versions]} onClose={onClose}
      read={() => readPayment({ typed, taken, account, fields, coin: coinOn(versions.data?.items ?? [], typed, currency) })}
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
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(currency)} hint={openSum === null || typed.onAccount ? undefined : text.together(formatMoney(openSum, locale))} error={errorAt(errors, fields.amount)} value={typed.amount} onValue={(amount) => set({ amount })} />
          <Field id={fields.paidOn} type="date" label={words.booking.paidOn} error={errorAt(errors, fields.paidOn)} value={typed.paidOn} onValue={(paidOn) => set({ paidOn })} />
          <MethodField id={fields.method} value={typed.method} onValue={(method) => set({ method })} />
          <ItemChoice
            id={fields.settlements} items={offered} taken={taken} error={errorAt(errors, fields.settlements)} onAccount={typed.onAccount}
            onTaken={(chosen) => set({ chosen })}
            onOnAccount={(onAccount) => set({ onAccount })}
          />
          <Field id={fields.reference} label={words.booking.reference} hint={words.booking.referenceHint} maxLength={140} error={errorAt(errors, fields.reference)} value={typed.reference} onValue={(reference) => set({ reference })} />
          <BookedOnField id={fields.accountingDate} errors={errors} value={typed.accountingDate} onValue={(accountingDate) => set({ accountingDate })} />
        </>
      )}
    </Booking>
  );
}

interface Reading {
  readonly typed: Typed;
  readonly taken: readonly OpenItem[];
  readonly account: PartyAccount;
  readonly coin: Money | null;
  readonly fields: { readonly amount: string; readonly paidOn: string; readonly settlements: string };
}

function readPayment({ typed, taken, account, coin, fields }: Reading): Filled<Body> {
  const { direction, onAccount, method, paidOn, accountingDate } = typed;
  const paid = readTypedAmount({ text: typed.amount, currency: account.currency, locale });
  const settled = paid === null || onAccount || taken.length === 0 ? null : settles({ paid, items: taken, coin });
  const errors: FormError[] = [
    ...(paid === null ? [{ fieldId: fields.amount, message: words.booking.amountMissing(formatAmount({ ...account.closing, amount: exampleOf(account.closing) }, locale)) }] : []),
    ...(paidOn === '' ? [{ fieldId: fields.paidOn, message: words.booking.dayMissing }] : []),
    ...(onAccount || taken.length > 0 ? [] : [{ fieldId: fields.settlements, message: words.payments.itemMissing }]),
    ...(settled?.ok === false ? [{ fieldId: fields.amount, message: refusal(settled, coin) }] : []),
  ];
  if (paid === null || errors.length > 0) return { errors };
  const body: Body = {
    agreementId: account.agreementId, partyId: account.partyId, direction, amount: paid, method, reference: typed.reference, paidOn, ...bookedOn(accountingDate),
    ...(onAccount ? { onAccount: true } : { settlements: taken.map(({ settlementId }) => ({ settlementId })) }),
  };
  return { body, books: sentences({ typed, settled, paid, coin, party: account.partyName }) };
}

/** The coin to which cash is rounded by the terms of that day. */
function coinOn(versions: readonly AgreementVersion[], { method, paidOn }: Typed, currency: string): Money | null {
  if (method !== 'cash') return null;
  const version = versions.find(({ effectiveFrom, withdrawnAt }) => withdrawnAt === null && effectiveFrom <= paidOn);
  const coin = version?.terms.payout.smallestCoin ?? null;
  return coin === null ? null : { amount: coin, currency };
}

function refusal({ code, instead }: Settles & { ok: false }, coin: Money | null): string {
  if (code === 'not-in-coins' && coin !== null) return words.payments.notInCoins({ coin: formatMoney(coin, locale), nearest: formatMoney(instead, locale) });
  return words.payments.tooMuch(formatMoney(instead, locale));
}

/** Twelve and a half, with the digits of the currency. */
function exampleOf({ amount }: Money): string {
  const digits = amount.split('.')[1]?.length ?? 0;
  return digits === 0 ? '1250' : `12.${'5'.padEnd(digits, '0')}`;
}

interface Said {
  readonly typed: Typed;
  readonly settled: Settles | null;
  readonly paid: Money;
  readonly coin: Money | null;
  readonly party: string;
}

function sentences({ typed, settled, paid, coin, party }: Said): string[] {
  const text = words.payments.books;
  const { direction, method, paidOn, accountingDate } = typed;
  const moved = { party, amount: formatMoney(paid, locale), method: words.booking.paidBy[method], day: formatDay(paidOn, locale) };
  return [
    direction === 'to-payee' ? text.out(moved) : text.in(moved),
    ...(settled?.ok === true ? settled.parts.map(({ item: { number }, pays, rest }) =>
      isZero(rest) ? text.whole(number, formatMoney(pays, locale)) : text.part({ number, pays: formatMoney(pays, locale), rest: formatMoney(rest, locale) }),
    ) : [text.onAccount]),
    ...(settled?.ok === true && coin !== null && settled.settled.amount !== paid.amount
      ? [text.rounded({ coin: formatMoney(coin, locale), paid: formatMoney(paid, locale), settled: formatMoney(settled.settled, locale) })]
      : []),
    ...underDay(accountingDate),
  ];
}
