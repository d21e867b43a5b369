import { useId, useState } from 'react';
import type { Agreement } from '../api/shapes';
import { locale } from '../format/locale';
import { readTypedAmount } from '../format/typed-amount';
import { Dialog } from '../parts/dialog';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { advancesOfQuery } from './queries';

interface GiveAdvanceProps {
  readonly agreement: Agreement;
  /** Of the site. */
  readonly currency: string;
  readonly onClose: () => void;
}

/** Asks for what an advance needs and records it; a refusal stands above the form and leads to its field. */
export function GiveAdvance({ agreement, currency, onClose }: GiveAdvanceProps) {
  const { api } = useOperator();
  const id = useId();
  const [amount, setAmount] = useState('');
  const [givenOn, setGivenOn] = useState('');
  const [method, setMethod] = useState<'bank' | 'cash' | 'other'>('bank');
  const [reason, setReason] = useState('');
  const [document, setDocument] = useState('');
  const text = words.advances;
  const fields = { amount: `${id}-amount`, givenOn: `${id}-on`, reason: `${id}-reason`, document: `${id}-document`, method: `${id}-method` };
  const { errors, busy, submit } = useSending({ send: api.giveAdvance, fields, changes: [advancesOfQuery(api, agreement.siteId).queryKey], onDone: onClose });
  const send = () => {
    const given = readTypedAmount({ text: amount, currency, locale });
    submit({ agreementId: agreement.id, amount: given ?? { amount: '', currency }, method, document, reason, givenOn }, [
      unless(given !== null, fields.amount, text.amountMissing),
      unless(givenOn !== '', fields.givenOn, text.dayMissing),
      unless(reason.trim().length >= 3, fields.reason, text.reasonMissing),
    ]);
  };
  return (
    <Dialog title={text.giveTo(agreement.partyName)} onClose={onClose} canClose={!busy}>
      <p className="soft">{text.explained}</p>
      <Form errors={errors} busy={busy} action={text.record} onSubmit={send}>
        <Field id={fields.amount} inputMode="decimal" label={text.amount(currency)} error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
        <Field id={fields.givenOn} type="date" label={text.givenOn} error={errorAt(errors, fields.givenOn)} value={givenOn} onValue={setGivenOn} />
        <div className="field">
          <label htmlFor={fields.method}>{text.method}</label>
          <select id={fields.method} value={method} onChange={(event) => setMethod(event.currentTarget.value as 'bank' | 'cash' | 'other')}>
            <option value="bank">{text.methods.bank}</option>
            <option value="cash">{text.methods.cash}</option>
            <option value="other">{text.methods.other}</option>
          </select>
        </div>
        <Field id={fields.reason} label={text.reason} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
        <Field id={fields.document} label={text.document} hint={text.documentHint} error={errorAt(errors, fields.document)} value={document} onValue={setDocument} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={busy}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
