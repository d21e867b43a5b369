import { useState } from 'react';
import type { BreakIn } from '../api/shapes';
import { OwnRecord } from '../audit/recorded-by';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { today } from '../keys/set-up/day-field';
import { MachineField, useMachineChoice } from '../machines/choice';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { TextArea } from '../parts/text-area';
import { useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changedByCorrection } from './correcting';
import { breakInsKey } from './queries';

const text = words.besideCounts.breakIns;
const shortestText = 3;
const changes = [breakInsKey, ...changedByCorrection];

/** Cash that was stolen out of the box of a machine. */
export function RecordBreakIn({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const choice = useMachineChoice();
  const currencyOf = (machineId: string) => choice.currencyOf(machineId) ?? '';
  const amountOf = (now: { readonly amount: string; readonly machineId: string }) => readTypedAmount({ text: now.amount, currency: currencyOf(now.machineId), locale });
  const [id] = useState(() => crypto.randomUUID());
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { machineId: '', happenedOn: today(), amount: '', note: '', accountingDate: '', accountingReason: '' },
    missing: (now) => ({
      machineId: now.machineId === '' && words.besideCounts.machineMissing,
      happenedOn: now.happenedOn === '' && words.setUp.dayMissing,
      amount: amountOf(now) === null && text.amountWrong,
      note: now.note.trim().length < shortestText && text.noteMissing,
      accountingReason: isElsewhere(now) && now.accountingReason.trim().length < shortestText && words.reasonMissing,
    }),
    body: (now) => ({
      id, machineTag: choice.machineOf(now.machineId)?.tag ?? '', happenedOn: now.happenedOn, amount: amountOf(now) ?? { amount: '', currency: currencyOf(now.machineId) }, note: now.note.trim(),
      ...(isElsewhere(now) ? { accountingDate: now.accountingDate, accountingReason: now.accountingReason.trim() } : {}),
    }),
    send: api.recordBreakIn,
    changes,
    onDone: onClose,
    named: { machineTag: 'machineId', placementId: 'machineId' },
  });
  return (
    <FormDialog title={text.record} lead={text.recordLead} errors={errors} busy={busy} action={text.record} onSubmit={submit} onClose={onClose}>
      <MachineField {...field('machineId')} choice={choice} />
      <Field {...field('happenedOn')} type="date" label={text.foundOn} max={today()} />
      <Field {...field('amount')} label={text.amountIn(currencyOf(typed.machineId))} hint={text.amountHint} inputMode="decimal" autoComplete="off" />
      <TextArea {...field('note')} label={text.what} />
      <Field {...field('accountingDate')} type="date" label={words.booking.bookedOn} hint={words.besideCounts.bookedHint} max={today()} />
      {isElsewhere(typed) ? <Field {...field('accountingReason')} label={words.besideCounts.bookedWhy} maxLength={1000} autoComplete="off" /> : null}
    </FormDialog>
  );
}

const isElsewhere = ({ happenedOn, accountingDate }: { readonly happenedOn: string; readonly accountingDate: string }): boolean => accountingDate !== '' && accountingDate !== happenedOn;

/** Another amount; the first stays legible. */
export function CorrectBreakIn({ breakIn, onClose }: { readonly breakIn: BreakIn; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { currency } = breakIn.amount;
  const amountOf = (amount: string) => readTypedAmount({ text: amount, currency, locale, zero: true });
  const { field, errors, busy, submit } = useTypedForm({
    initial: { amount: formatAmount(breakIn.amount, locale), reason: '' },
    missing: (now) => ({
      amount: amountOf(now.amount) === null && words.entered.amountWrong(formatAmount({ amount: '12.50', currency }, locale)),
      reason: now.reason.trim().length < shortestText && words.reasonMissing,
    }),
    body: (now) => ({ id: breakIn.id, body: { amount: amountOf(now.amount) ?? breakIn.amount, reason: now.reason.trim() } }),
    send: api.correctBreakIn,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(breakIn.machineTag, formatDay(breakIn.happenedOn, locale))} lead={words.besideCounts.correctLead} errors={errors} busy={busy} action={text.correct} onSubmit={submit} onClose={onClose}>
      <OwnRecord recordedBy={breakIn.recordedBy} />
      <Field {...field('amount')} label={text.amountIn(currency)} hint={text.zeroHint} inputMode="decimal" autoComplete="off" />
      <Field {...field('reason')} label={words.reason} maxLength={1000} autoComplete="off" />
    </FormDialog>
  );
}
