import { useId, useState } from 'react';
import type { PaymentRun } from '../api/shapes';
import { dayOf } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { moneyOut } from './queries';

const text = words.moneyOut.run;

type Because = NonNullable<PaymentRun['transfers'][number]['refusedBecause']>;

const reasons: readonly Because[] = ['number-wrong', 'account-closed', 'account-blocked', 'not-said'];
const options = reasons.map((because) => ({ value: because, text: text.because[because] }));

/** Enters the day on which the bank paid, and which transfers it refused. */
export function RecordRun({ run, onClose }: { readonly run: PaymentRun; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [day, setDay] = useState(() => dayOf(new Date()));
  const [refused, setRefused] = useState<Readonly<Record<string, Because>>>({});
  const fields = { paidOn: `${id}day`, refused: `${id}refused` };
  const { errors, busy, submit } = useSending({ send: api.recordRun, fields, changes: [moneyOut, ['sites'], ['month-end']], onDone: onClose });
  const choose = (transferId: string, value: string) => {
    const because = reasons.find((each) => each === value);
    setRefused(({ [transferId]: _, ...others }) => (because === undefined ? others : { ...others, [transferId]: because }));
  };
  const send = () => {
    const named = Object.entries(refused).map(([transferId, because]) => ({ transferId, because }));
    submit({ id: run.id, paidOn: day, ...(named.length === 0 ? {} : { refused: named }) }, [unless(day !== '', fields.paidOn, words.booking.dayMissing)]);
  };
  return (
    <FormDialog title={text.record} lead={text.recordWhat} errors={errors} busy={busy} action={text.record} onSubmit={send} onClose={onClose}>
      <Field id={fields.paidOn} type="date" label={text.paidOn} error={errorAt(errors, fields.paidOn)} value={day} onValue={setDay} />
      {run.transfers.length === 1 ? null : (
        <details>
          <summary id={fields.refused}>{text.someRefused}</summary>
          <div className="stack">
            <p className="soft">{text.someRefusedWhat}</p>
            {run.transfers.map((transfer) => (
              <SelectField
                key={transfer.id} id={`${id}${transfer.id}`} label={text.transferTo(transfer.siteName, transfer.partyName, formatMoney(transfer.amount, locale))}
                value={refused[transfer.id] ?? ''} none={text.wasPaid} options={options} onValue={(value) => choose(transfer.id, value)}
              />
            ))}
          </div>
        </details>
      )}
    </FormDialog>
  );
}
