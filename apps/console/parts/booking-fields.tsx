import { useId, useState } from 'react';
import type { QueryKey } from '@tanstack/react-query';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';
import { Booking } from './booking';
import type { FormError } from './error-summary';
import { Field } from './field';
import { errorAt } from './form';
import { SelectField } from './select-field';

export type Method = 'bank' | 'cash' | 'other';

interface MethodFieldProps {
  readonly id: string;
  readonly value: Method;
  readonly onValue: (value: Method) => void;
}

export function MethodField({ id, value, onValue }: MethodFieldProps) {
  return (
    <div className="field">
      <label htmlFor={id}>{words.booking.method}</label>
      <select id={id} value={value} onChange={(event) => onValue(event.currentTarget.value as Method)}>
        {(['bank', 'cash', 'other'] as const).map((each) => (
          <option key={each} value={each}>
            {words.booking.methods[each]}
          </option>
        ))}
      </select>
    </div>
  );
}

interface BookedOnProps {
  readonly id: string;
  readonly value: string;
  readonly onValue: (day: string) => void;
  readonly errors: readonly FormError[];
  /** When another day is needed, or what holds without one. */
  readonly hint?: string;
}

/** The day under which the books have it, where that is another one than the day on which it happened. */
export function BookedOnField({ id, value, onValue, errors, hint = words.booking.bookedOnHint }: BookedOnProps) {
  return <Field id={id} type="date" label={words.booking.bookedOn} hint={hint} error={errorAt(errors, id)} value={value} onValue={onValue} />;
}

/** What a booking under another day has beside the rest of its body. */
export const bookedOn = (day: string): { accountingDate?: string } => (day === '' ? {} : { accountingDate: day });

export const underDay = (day: string): string[] => (day === '' ? [] : [words.booking.underDay(formatDay(day, locale))]);

/** As the api asks for it. */
const shortestReason = 3;

export function reasonErrors({ fieldId, reason }: { fieldId: string; reason: string }): FormError[] {
  return reason.trim().length < shortestReason ? [{ fieldId, message: words.booking.reasonMissing }] : [];
}

interface ReasonedProps {
  readonly title: string;
  readonly action: string;
  /** In sentences. */
  readonly books: readonly string[];
  readonly send: (reason: string, key: string) => Promise<unknown>;
  readonly refresh: QueryKey;
  readonly onClose: () => void;
}

/** A booking for which only the reason is asked. */
export function ReasonedBooking({ title, action, books, send, refresh, onClose }: ReasonedProps) {
  const id = useId();
  const [reason, setReason] = useState('');
  return (
    <Booking
      title={title} action={action} refresh={refresh} onClose={onClose} send={send} fields={{ reason: id, note: id }}
      read={() => {
        const errors = reasonErrors({ fieldId: id, reason });
        return errors.length > 0 ? { errors } : { body: reason, books: [...books, words.booking.because(reason.trim())] };
      }}
    >
      {(errors) => <Field id={id} label={words.reason} error={errorAt(errors, id)} maxLength={1000} value={reason} onValue={setReason} />}
    </Booking>
  );
}

type WhyReversed = 'came-back' | 'mistake';

interface ReturnProps extends Omit<ReasonedProps, 'send' | 'books' | 'action'> {
  /** Of the payment: a mistake is taken back under it. */
  readonly paidOn: string;
  /** Sentences for what happened, and the day of it. */
  readonly books: (why: WhyReversed, day: string) => readonly string[];
  readonly send: (body: { returnedOn: string; reason: string; accountingDate?: string }, key: string) => Promise<unknown>;
}

interface DatedProps extends Omit<ReasonedProps, 'send' | 'books'> {
  /** In sentences, without the day. */
  readonly books: readonly string[];
  readonly send: (body: { reason: string; accountingDate?: string }, key: string) => Promise<unknown>;
}

/** A booking of today, unless somebody says under which other day: why is asked. */
export function DatedBooking({ title, action, books, send, refresh, onClose }: DatedProps) {
  const id = useId();
  const [reason, setReason] = useState('');
  const [day, setDay] = useState('');
  const fields = { reason: `${id}-reason`, accountingDate: `${id}-booked` };
  return (
    <Booking
      title={title} action={action} refresh={refresh} onClose={onClose} send={send} fields={fields}
      read={() => {
        const errors = reasonErrors({ fieldId: fields.reason, reason });
        if (errors.length > 0) return { errors };
        return { body: { reason, ...bookedOn(day) }, books: [...books, ...(day === '' ? [words.booking.today] : underDay(day)), words.booking.because(reason.trim())] };
      }}
    >
      {(errors) => (
        <>
          <Field id={fields.reason} label={words.reason} error={errorAt(errors, fields.reason)} maxLength={1000} value={reason} onValue={setReason} />
          <BookedOnField id={fields.accountingDate} errors={errors} hint={words.booking.todayHint} value={day} onValue={setDay} />
        </>
      )}
    </Booking>
  );
}

/** A payment that is taken back: whether the money came back or there was no such payment, under which day and why. */
export function ReturnBooking({ title, paidOn, books, send, refresh, onClose }: ReturnProps) {
  const id = useId();
  const [why, setWhy] = useState<WhyReversed>('came-back');
  const [returnedOn, setReturnedOn] = useState('');
  const [reason, setReason] = useState('');
  const [day, setDay] = useState('');
  const fields = { why: `${id}-why`, returnedOn: `${id}-on`, reason: `${id}-reason`, accountingDate: `${id}-booked` };
  const text = words.booking;
  const choose = (chosen: WhyReversed) => {
    setWhy(chosen);
    setReturnedOn((typed) => (chosen === 'mistake' ? (typed === '' ? paidOn : typed) : typed === paidOn ? '' : typed));
  };
  return (
    <Booking
      title={title} action={words.payments.return} refresh={refresh} onClose={onClose} send={send} fields={fields}
      read={() => {
        const errors = [...(returnedOn === '' ? [{ fieldId: fields.returnedOn, message: text.dayMissing }] : []), ...reasonErrors({ fieldId: fields.reason, reason })];
        return errors.length > 0 ? { errors } : { body: { returnedOn, reason, ...bookedOn(day) }, books: [...books(why, returnedOn), ...underDay(day), text.because(reason.trim())] };
      }}
    >
      {(errors) => (
        <>
          <SelectField
            id={fields.why} label={text.why} hint={text.whyHints[why]} value={why} onValue={(value) => choose(value as WhyReversed)}
            options={(['came-back', 'mistake'] as const).map((value) => ({ value, text: text.whys[value] }))}
          />
          <Field
            id={fields.returnedOn} type="date" label={why === 'mistake' ? text.neverPaidOn : text.cameBackOn} error={errorAt(errors, fields.returnedOn)}
            value={returnedOn} onValue={setReturnedOn}
          />
          <Field id={fields.reason} label={words.reason} error={errorAt(errors, fields.reason)} maxLength={1000} value={reason} onValue={setReason} />
          <BookedOnField id={fields.accountingDate} errors={errors} hint={why === 'mistake' ? text.bookedOnHint : text.returnBookedOnHint} value={day} onValue={setDay} />
        </>
      )}
    </Booking>
  );
}
