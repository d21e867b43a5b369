import { useInfiniteQuery } from '@tanstack/react-query';
import { useRef, useState } from 'react';
import type { CashlessTaking } from '../api/shapes';
import { OwnRecord } from '../audit/recorded-by';
import { formatDay, formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { today } from '../keys/set-up/day-field';
import { MachineField, useMachineChoice } from '../machines/choice';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changedByCorrection } from './correcting';
import { cardTakingsKey, collectionsQuery } from './queries';

const text = words.besideCounts.cards;
const shortestReason = 3;
export const cardChanges = [cardTakingsKey, ...changedByCorrection];

/** What is still the same when the next report is entered. */
interface Before {
  readonly reportId: string;
  readonly machineId: string;
  readonly tag: string;
  readonly localDate: string;
}

/** What one reader reported. Several are entered one after the other. */
export function RecordCardTakings({ onClose }: { readonly onClose: () => void }) {
  const [before, setBefore] = useState<Before | null>(null);
  // A new form for the next one: it begins with machine and day of the one before.
  return <OneReport key={before?.reportId ?? ''} before={before} onMade={setBefore} onClose={onClose} />;
}

function OneReport({ before, onMade, onClose }: { readonly before: Before | null; readonly onMade: (before: Before) => void; readonly onClose: () => void }) {
  const { api } = useOperator();
  const choice = useMachineChoice();
  const currencyOf = (machineId: string) => choice.currencyOf(machineId) ?? '';
  const amountOf = (amount: string, machineId: string) => readTypedAmount({ text: amount, currency: currencyOf(machineId), locale, zero: true });
  const moneyOf = (amount: string, machineId: string) => amountOf(amount, machineId) ?? { amount: '', currency: currencyOf(machineId) };
  // Sent again, after no answer came, the same report is recognised by it.
  const [reportId] = useState(() => crypto.randomUUID());
  const isFirstOfMany = useRef(false);
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { machineId: before?.machineId ?? '', belongsTo: 'day', localDate: before?.localDate ?? '', collectionId: '', gross: '', refunded: '' },
    missing: (now) => ({
      machineId: now.machineId === '' && words.besideCounts.machineMissing,
      localDate: now.belongsTo === 'day' && now.localDate === '' && words.setUp.dayMissing,
      collectionId: now.belongsTo === 'collection' && now.collectionId === '' && text.collectionMissing,
      gross: amountOf(now.gross, now.machineId) === null && text.amountWrong,
      refunded: now.refunded.trim() !== '' && amountOf(now.refunded, now.machineId) === null && text.amountWrong,
    }),
    body: (now) => ({
      reports: [
        {
          id: reportId, machineTag: choice.machineOf(now.machineId)?.tag ?? '', gross: moneyOf(now.gross, now.machineId), ...(now.refunded.trim() === '' ? {} : { refunded: moneyOf(now.refunded, now.machineId) }),
          ...(now.belongsTo === 'day' ? { localDate: now.localDate } : { collectionId: now.collectionId }),
        },
      ],
    }),
    send: api.recordCardTakings,
    changes: cardChanges,
    onDone: () => (isFirstOfMany.current ? onMade({ reportId, machineId: typed.machineId, tag: choice.machineOf(typed.machineId)?.tag ?? '', localDate: typed.localDate }) : onClose()),
    within: 'reports/0',
    named: { machineTag: 'machineId', placementId: 'machineId', reports: 'machineId', id: 'localDate' },
  });
  const siteId = choice.machineOf(typed.machineId)?.placement?.siteId;
  const currency = currencyOf(typed.machineId);
  const collections = useInfiniteQuery({ ...collectionsQuery(api, siteId === undefined ? {} : { siteId }), enabled: typed.belongsTo === 'collection' && siteId !== undefined });
  const send = (isMore: boolean) => {
    isFirstOfMany.current = isMore;
    submit();
  };
  return (
    <FormDialog
      title={text.enter} lead={before === null ? text.enterLead : text.entered(before.tag)} errors={errors} busy={busy} action={text.record} onSubmit={() => send(false)} onClose={onClose}
      also={
        <button type="button" className="button" aria-disabled={busy} onClick={() => (busy ? undefined : send(true))}>
          {text.recordAnother}
        </button>
      }
    >
      <MachineField {...field('machineId')} choice={choice} />
      <SelectField {...field('belongsTo')} label={text.belongsTo} hint={text.belongsToHint} options={(['day', 'collection'] as const).map((value) => ({ value, text: text.belongsTos[value] }))} />
      {typed.belongsTo === 'day' ? (
        <Field {...field('localDate')} type="date" label={text.day} max={today()} />
      ) : (
        <SelectField
          {...field('collectionId')} label={text.collection} none={words.setUp.choose} isLoading={collections.isLoading}
          options={(collections.data?.pages ?? []).flatMap((page) => page.items).map(({ id, siteName, happenedAt, timeZone }) => ({ value: id, text: `${siteName}, ${formatInstantAt(happenedAt, locale, timeZone)}` }))}
        />
      )}
      <Field {...field('gross')} label={text.grossIn(currency)} hint={text.grossHint} inputMode="decimal" autoComplete="off" />
      <Field {...field('refunded')} label={text.refundedIn(currency)} hint={text.refundedHint} inputMode="decimal" autoComplete="off" />
    </FormDialog>
  );
}

/** Other figures in the place of what a reader reported. */
export function CorrectCardTaking({ taking, onClose }: { readonly taking: CashlessTaking; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { currency } = taking.gross;
  const amountOf = (amount: string) => readTypedAmount({ text: amount, currency, locale, zero: true });
  const { field, errors, busy, submit } = useTypedForm({
    initial: { gross: formatAmount(taking.gross, locale), refunded: formatAmount(taking.refunded, locale), reason: '' },
    missing: (now) => ({
      gross: amountOf(now.gross) === null && text.amountWrong,
      refunded: amountOf(now.refunded) === null && text.amountWrong,
      reason: now.reason.trim().length < shortestReason && words.reasonMissing,
    }),
    body: (now) => ({ id: taking.id, body: { gross: amountOf(now.gross) ?? taking.gross, refunded: amountOf(now.refunded) ?? taking.refunded, reason: now.reason.trim() } }),
    send: api.correctCardTaking,
    changes: cardChanges,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(taking.machineTag, formatDay(taking.localDate, locale))} lead={words.besideCounts.correctLead} errors={errors} busy={busy} action={text.correct} onSubmit={submit} onClose={onClose}>
      <OwnRecord recordedBy={taking.recordedBy} />
      <Field {...field('gross')} label={text.grossIn(currency)} inputMode="decimal" autoComplete="off" />
      <Field {...field('refunded')} label={text.refundedIn(currency)} inputMode="decimal" autoComplete="off" />
      <Field {...field('reason')} label={words.reason} maxLength={1000} autoComplete="off" />
    </FormDialog>
  );
}
