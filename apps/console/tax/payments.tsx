import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { TaxPayment, TaxWorksheet } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, isNegative, isZero, negated } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Booking, type Filled } from '../parts/booking';
import { BookedOnField, bookedOn, underDay, MethodField, ReturnBooking, type Method } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { Wide } from '../parts/wide';
import type { RecordTaxPaymentData } from '../generated';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { taxPaymentsQuery } from './queries';

interface TaxPaymentsProps {
  readonly worksheet: TaxWorksheet;
}

/** What was paid to the authority for the month or came back from it, and the way to record it. */
export function TaxPayments({ worksheet }: TaxPaymentsProps) {
  const { api, may } = useOperator();
  const [recording, setRecording] = useState(false);
  const question = useQuery(taxPaymentsQuery(api, { areaId: worksheet.taxAreaId, month: worksheet.month }));
  const text = words.taxPayments;
  return (
    <section className="section" aria-labelledby="tax-payments">
      <h2 id="tax-payments">{text.title}</h2>
      <Answer question={question} lines={2}>
        {(payments) => (payments.length === 0 ? <p className="soft">{worksheet.filed === null ? text.notFiled : text.none}</p> : <PaymentTable areaId={worksheet.taxAreaId} payments={payments} />)}
      </Answer>
      {worksheet.filed === null || !may('tax-return.pay') ? null : (
        <div>
          <button type="button" className="button" onClick={() => setRecording(true)}>
            {text.record}
          </button>
        </div>
      )}
      {recording ? <RecordTaxPayment worksheet={worksheet} onClose={() => setRecording(false)} /> : null}
    </section>
  );
}

function PaymentTable({ areaId, payments }: { readonly areaId: string; readonly payments: readonly TaxPayment[] }) {
  const { api, may } = useOperator();
  const [asked, setAsked] = useState<TaxPayment | null>(null);
  const text = words.taxPayments;
  const changes = may('tax-return.pay');
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{words.payments.paid}</th>
            <th scope="col">{text.direction}</th>
            <th scope="col" className="figure">
              {words.payments.amount}
            </th>
            {changes ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {payments.map((payment) => (
            <tr key={payment.id}>
              <th scope="row">
                {formatDay(payment.paidOn, locale)}
                {payment.returned === null ? null : <div className="soft small">{text.returned(formatDay(payment.returned.returnedOn, locale), payment.returned.reason)}</div>}
              </th>
              <td>
                {text.directions[payment.direction]}
                {payment.reference === '' ? null : <div className="soft small">{payment.reference}</div>}
              </td>
              <td className="figure">
                <Amount money={payment.amount} />
              </td>
              {changes ? (
                <td>
                  {payment.returned === null ? (
                    <button type="button" className="button button-small" aria-label={nameOf(payment)} onClick={() => setAsked(payment)}>
                      {words.payments.return}
                    </button>
                  ) : null}
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
      {asked === null ? null : (
        <ReturnBooking
          title={nameOf(asked)} paidOn={asked.paidOn} refresh={['tax']} onClose={() => setAsked(null)}
          books={(why, day) => [(why === 'mistake' ? text.mistaken : text.cameBack)(formatMoney(asked.amount, locale), formatDay(day, locale))]}
          send={(body, key) => api.returnTaxPayment({ areaId, id: asked.id, ...body }, key)}
        />
      )}
    </Wide>
  );
}

function nameOf(payment: TaxPayment): string {
  return words.payments.commandFor(words.payments.return, formatMoney(payment.amount, locale), formatDay(payment.paidOn, locale));
}

type Body = { areaId: string } & RecordTaxPaymentData['body'];
type Direction = TaxPayment['direction'];

function RecordTaxPayment({ worksheet, onClose }: TaxPaymentsProps & { readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { open } = worksheet.authority;
  const [direction, setDirection] = useState<Direction>(isNegative(open) ? 'from-authority' : 'to-authority');
  const [amount, setAmount] = useState(() => (isZero(open) ? '' : formatAmount(isNegative(open) ? negated(open) : open, locale)));
  const [paidOn, setPaidOn] = useState('');
  const [method, setMethod] = useState<Method>('bank');
  const [reference, setReference] = useState('');
  const [accountingDate, setAccountingDate] = useState('');
  const fields = { direction: `${id}-direction`, amount: `${id}-amount`, paidOn: `${id}-on`, method: `${id}-method`, reference: `${id}-reference`, accountingDate: `${id}-booked` };
  const text = words.taxPayments;
  const read = (): Filled<Body> => {
    const paid = readTypedAmount({ text: amount, currency: open.currency, locale });
    const errors = [
      ...(paid === null ? [{ fieldId: fields.amount, message: words.booking.amountMissing(formatAmount({ ...open, amount: '12.50' }, locale)) }] : []),
      ...(paidOn === '' ? [{ fieldId: fields.paidOn, message: words.booking.dayMissing }] : []),
    ];
    if (paid === null || errors.length > 0) return { errors };
    const moved = { amount: formatMoney(paid, locale), method: words.booking.paidBy[method], day: formatDay(paidOn, locale) };
    const books = [direction === 'to-authority' ? text.out(moved) : text.in(moved), text.open(formatMoney(open, locale)), ...underDay(accountingDate)];
    return { body: { areaId: worksheet.taxAreaId, month: worksheet.month, direction, amount: paid, method, reference, paidOn, ...bookedOn(accountingDate) }, books };
  };
  return (
    <Booking title={text.record} action={text.action} read={read} send={api.recordTaxPayment} refresh={['tax']} fields={fields} onClose={onClose}>
      {(errors) => (
        <>
          <div className="field">
            <label htmlFor={fields.direction}>{text.direction}</label>
            <select id={fields.direction} value={direction} onChange={(event) => setDirection(event.currentTarget.value as Direction)}>
              <option value="to-authority">{text.directions['to-authority']}</option>
              <option value="from-authority">{text.directions['from-authority']}</option>
            </select>
          </div>
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(open.currency)} error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          <Field id={fields.paidOn} type="date" label={words.booking.paidOn} error={errorAt(errors, fields.paidOn)} value={paidOn} onValue={setPaidOn} />
          <MethodField id={fields.method} value={method} onValue={setMethod} />
          <Field id={fields.reference} label={words.booking.reference} hint={words.booking.referenceHint} maxLength={140} error={errorAt(errors, fields.reference)} value={reference} onValue={setReference} />
          <BookedOnField id={fields.accountingDate} errors={errors} value={accountingDate} onValue={setAccountingDate} />
        </>
      )}
    </Booking>
  );
}
