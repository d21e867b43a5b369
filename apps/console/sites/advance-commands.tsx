import { useId, useState } from 'react';
import type { Advance } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { difference, formatAmount, formatMoney, unitsOf } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking } from '../parts/booking';
import { BookedOnField, bookedOn, DatedBooking, MethodField, underDay, type Method } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface AdvanceProps {
  readonly siteId: string;
  readonly advance: Advance;
}

/** What can be done with an advance of which something is open, besides working it off. */
export function AdvanceCommands({ siteId, advance }: AdvanceProps) {
  const { api, may } = useOperator();
  const [asked, setAsked] = useState<'payBack' | 'writeOff' | null>(null);
  const text = words.advanceChanges;
  const nameOf = (command: 'payBack' | 'writeOff') => text.commandFor(text[command], formatDay(advance.givenOn, locale));
  const close = () => setAsked(null);
  return (
    <div className="row">
      {(['payBack', 'writeOff'] as const).map((command) =>
        may(command === 'payBack' ? 'advance.pay-back' : 'advance.write-off') ? (
          <button key={command} type="button" className="button button-small" aria-label={nameOf(command)} onClick={() => setAsked(command)}>
            {text[command]}
          </button>
        ) : null,
      )}
      {asked === 'payBack' ? <PayBack siteId={siteId} advance={advance} title={nameOf('payBack')} onClose={close} /> : null}
      {asked === 'writeOff' ? (
        <DatedBooking
          title={nameOf('writeOff')} action={text.writeOff} refresh={['sites', siteId]} onClose={close}
          books={[text.givenUp(advance.partyName, formatMoney(advance.open, locale))]}
          send={(body, key) => api.writeOffAdvance({ id: advance.id, ...body }, key)}
        />
      ) : null}
    </div>
  );
}

/** The payee gives money back outside a settlement. What is open stands in the field, as it is mostly paid back whole. */
function PayBack({ siteId, advance, title, onClose }: AdvanceProps & { readonly title: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { open, partyName: party } = advance;
  const [amount, setAmount] = useState(() => formatAmount(open, locale));
  const [paidOn, setPaidOn] = useState('');
  const [method, setMethod] = useState<Method>('bank');
  const [document, setDocument] = useState('');
  const [day, setDay] = useState('');
  const fields = { amount: `${id}-amount`, paidOn: `${id}-on`, method: `${id}-method`, document: `${id}-document`, accountingDate: `${id}-booked` };
  const text = words.advanceChanges;
  const read = () => {
    const paid = readTypedAmount({ text: amount, currency: open.currency, locale });
    const rest = paid === null ? null : difference({ now: open, before: paid });
    const errors = [
      ...(paid === null ? [{ fieldId: fields.amount, message: words.booking.amountMissing(formatAmount(open, locale)) }] : []),
      ...(rest !== null && unitsOf(rest) < 0n ? [{ fieldId: fields.amount, message: text.tooMuch(formatMoney(open, locale)) }] : []),
      ...(paidOn === '' ? [{ fieldId: fields.paidOn, message: words.booking.dayMissing }] : []),
    ];
    if (paid === null || rest === null || errors.length > 0) return { errors };
    const says = text.paidBack({ party, amount: formatMoney(paid, locale), day: formatDay(paidOn, locale), rest: formatMoney(rest, locale) });
    return { body: { id: advance.id, amount: paid, method, document, paidOn, ...bookedOn(day) }, books: [says, ...underDay(day)] };
  };
  return (
    <Booking title={title} action={text.payBackAction} read={read} send={api.payBackAdvance} refresh={['sites', siteId]} fields={fields} onClose={onClose}>
      {(errors) => (
        <>
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(open.currency)} error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          <Field id={fields.paidOn} type="date" label={words.booking.paidOn} error={errorAt(errors, fields.paidOn)} value={paidOn} onValue={setPaidOn} />
          <MethodField id={fields.method} value={method} onValue={setMethod} />
          <Field id={fields.document} label={words.booking.reference} hint={words.booking.referenceHint} maxLength={140} error={errorAt(errors, fields.document)} value={document} onValue={setDocument} />
          <BookedOnField id={fields.accountingDate} errors={errors} value={day} onValue={setDay} />
        </>
      )}
    </Booking>
  );
}
