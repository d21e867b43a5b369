import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { PartyAccount, Payment } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isNegative, isZero, negated, sum, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Booking } from '../parts/booking';
import { ReasonedBooking, ReturnBooking } from '../parts/booking-fields';
import { More } from '../parts/more';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './payments.module.css';
import { atSite, paymentsQuery } from './queries';
import { RunLink } from './run-link';

interface PaymentsProps {
  readonly siteId: string;
  readonly account: PartyAccount;
}

/** What changed hands under one agreement, the latest first, and what can be done with it. */
export function Payments({ siteId, account }: PaymentsProps) {
  const { api, may } = useOperator();
  const allowed = may('payment.read');
  const question = useInfiniteQuery({ ...paymentsQuery(api, { siteId, agreementId: account.agreementId, partyId: account.partyId }), enabled: allowed });
  const payments = question.data?.pages.flatMap(({ items }) => items);
  const text = words.payments;
  if (!allowed) return null;
  return (
    <div className="stack">
      <h3>{text.title}</h3>
      <Answer question={{ ...question, data: payments }} lines={3}>
        {(found) => (found.length === 0 ? <p className="soft">{text.none}</p> : <PaymentTable siteId={siteId} payments={found} name={account.partyName} />)}
      </Answer>
      <More question={question} />
    </div>
  );
}

type Change = 'return' | 'unmatch' | 'match' | 'putOnAccount';

function PaymentTable({ siteId, payments, name }: { readonly siteId: string; readonly payments: readonly Payment[]; readonly name: string }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<{ readonly payment: Payment; readonly change: Change } | null>(null);
  const text = words.payments;
  const changes = may('payment.match') || may('payment.return');
  const commandsOf = (payment: Payment): Change[] => (may('payment.match') ? possible(payment) : possible(payment).filter((change) => change === 'return' && may('payment.return')));
  return (
    <Wide title={`${text.title}: ${name}`}>
      <table className={styles.blocks}>
        <caption className="visually-hidden">{`${text.title}: ${name}`}</caption>
        <thead>
          <tr>
            <th scope="col">{text.what}</th>
            <th scope="col" className="figure">
              {text.amount}
            </th>
            <th scope="col">{words.state}</th>
            {changes ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {payments.map((payment) => (
            <tr key={payment.id}>
              <th scope="row">
                {formatDay(payment.paidOn, locale)}
                <div className="soft small">{[payment.direction === 'to-payee' ? text.toPayee(payment.partyName) : text.fromPayee(payment.partyName), payment.reference, payment.method === 'bank' ? '' : words.booking.paidBy[payment.method]].filter((each) => each !== '').join(', ')}</div>
                {payment.run === null ? null : (
                  <div className="small">
                    <RunLink run={payment.run} />
                  </div>
                )}
              </th>
              <td className="figure">
                <Amount money={payment.amount} />
              </td>
              <td>
                {text.state[payment.state]}
                {payment.history.filter(({ kind }) => kind === 'returned').map(({ on, note }) => (
                  <div key={on} className="soft small">
                    {text.reversed(formatDay(on, locale), note ?? '')}
                  </div>
                ))}
                {payment.matches.map(({ openItemId, number, amount }) => (
                  <div key={openItemId} className="soft small whole">
                    {text.pairs(number, formatMoney(amount, locale))}
                  </div>
                ))}
                {payment.state === 'returned' || isZero(payment.unmatched) ? null : <div className="soft small">{text.loose(formatMoney(payment.unmatched, locale))}</div>}
              </td>
              {changes ? (
                <td>
                  <div className={styles.commands}>
                    {commandsOf(payment).map((change) => (
                      <button
                        key={change} type="button" className="button button-small"
                        aria-label={text.commandFor(text[change], formatMoney(payment.amount, locale), formatDay(payment.paidOn, locale))}
                        onClick={() => setAsked({ payment, change })}
                      >
                        {text[change]}
                      </button>
                    ))}
                  </div>
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
      {asked === null ? null : <PaymentChange siteId={siteId} {...asked} onClose={() => setAsked(null)} />}
    </Wide>
  );
}

/** What its state allows; the api decides. */
function possible(payment: Payment): Change[] {
  const { state, matches, unmatched } = payment;
  if (state === 'returned' || state === 'set-off') return [];
  return [
    ...(isZero(leftOf(payment)) ? [] : (['match'] as const)),
    ...(!isZero(unmatched) ? (['putOnAccount'] as const) : []),
    ...(matches.length > 0 ? (['unmatch'] as const) : []),
    'return',
  ];
}

/** What could still be matched: also what waits on account, which is taken off it then. */
function leftOf({ unmatched, onAccount, setOffIn }: Payment): Money {
  return setOffIn === null ? (sum([unmatched, onAccount]) ?? unmatched) : unmatched;
}

function PaymentChange({ siteId, payment, change, onClose }: { readonly siteId: string; readonly payment: Payment; readonly change: Change; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { id } = payment;
  const text = words.payments;
  const shared = { title: text.commandFor(text[change], formatMoney(payment.amount, locale), formatDay(payment.paidOn, locale)), action: text[change], refresh: atSite(siteId), onClose };
  const loose = formatMoney(size(payment.unmatched), locale);
  const left = formatMoney(size(leftOf(payment)), locale);
  switch (change) {
    case 'return':
      return (
        <ReturnBooking
          {...shared} paidOn={payment.paidOn} send={(body, key) => api.returnPayment({ id, ...body }, key)}
          books={(why, day) => [(why === 'mistake' ? text.books.mistaken : text.books.return)(formatMoney(size(payment.amount), locale), formatDay(day, locale))]}
        />
      );
    case 'unmatch':
      return <ReasonedBooking {...shared} books={[text.books.unmatch]} send={(reason, key) => api.unmatchPayment({ id, reason }, key)} />;
    case 'putOnAccount':
      return <ReasonedBooking {...shared} books={[text.books.putOnAccount(loose)]} send={(reason, key) => api.putOnAccount({ id, reason }, key)} />;
    case 'match':
      return (
        <Booking {...shared} fields={{}} read={() => ({ body: { id }, books: [text.books.match(left)] })} send={api.matchPayment}>
          {() => <p>{text.matchWhat}</p>}
        </Booking>
      );
  }
}

const size = (money: Money): Money => (isNegative(money) ? negated(money) : money);
