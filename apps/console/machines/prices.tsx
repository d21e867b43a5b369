import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Machine, MeterPrice } from '../api/shapes';
import { OwnRecord } from '../audit/recorded-by';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { toInstant, toLocal } from '../keys/moment';
import { Answer } from '../parts/answer';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { useTypedForm } from '../parts/use-typed-form';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { pricesQuery } from './queries';
import { changesOf } from './reading-forms';

const text = words.machines.prices;
const shortestReason = 3;

/** What units were worth from when on, the latest first, with what was corrected. */
export function Prices({ machine }: { readonly machine: Machine }) {
  const { api, may } = useOperator();
  const question = useQuery(pricesQuery(api, machine.id));
  const [wrong, setWrong] = useState<MeterPrice | null>(null);
  const mayCorrect = may('meter-price.correct');
  return (
    <>
      <Answer question={question} lines={2}>
        {(prices) => (
          <TitledTable
            id="prices" title={text.title} none={text.none} columns={[text.from, words.machines.meters.meter, text.worth, ...(mayCorrect ? [words.commands] : [])]} figures={[text.worth]}
            rows={prices.toSorted((one, other) => other.at.localeCompare(one.at)).map((price) => <PriceRow key={`${price.meterId} ${price.before.at(-1)?.recordedAt ?? price.recordedAt}`} price={price} onCorrect={mayCorrect ? () => setWrong(price) : null} />)}
          />
        )}
      </Answer>
      {wrong === null ? null : <CorrectPrice machine={machine} price={wrong} others={(question.data ?? []).filter((each) => each !== wrong && !each.withdrawn && each.at === wrong.at)} onClose={() => setWrong(null)} />}
    </>
  );
}

function PriceRow({ price, onCorrect }: { readonly price: MeterPrice; readonly onCorrect: (() => void) | null }) {
  const nameOf = useActorName();
  const { at, meterLabel, unitValue, isFirst, withdrawn, reason, enteredAnew, recordedBy, withoutSecondPerson, before } = price;
  const when = formatInstant(at, locale);
  return (
    <tr>
      <th scope="row">
        {when}
        {isFirst ? <div className="soft small">{text.first}</div> : null}
      </th>
      <td>
        {meterLabel}
        <div className="soft small">{enteredAnew ? text.enteredAnew(nameOf(recordedBy)) : reason === null ? words.besideCounts.by(nameOf(recordedBy)) : words.besideCounts.correctedBy(nameOf(recordedBy), reason)}</div>
        {withoutSecondPerson ? <div className="soft small">{words.besideCounts.alone}</div> : null}
        {before.map((each) => (
          <div key={each.recordedAt} className="soft small">{each.withdrawn ? text.takenBack(formatInstant(each.at, locale), nameOf(each.recordedBy)) : text.before(formatMoney(each.unitValue, locale), formatInstant(each.at, locale), nameOf(each.recordedBy))}</div>
        ))}
      </td>
      <td className="figure">{withdrawn ? <span className="state">{text.withdrawn}</span> : formatMoney(unitValue, locale)}</td>
      {onCorrect === null ? null : <td>{withdrawn ? null : <OpenButton about={`${meterLabel}, ${when}`} onClick={onCorrect}>{text.correct}</OpenButton>}</td>}
    </tr>
  );
}

interface CorrectPriceProps {
  readonly machine: Machine;
  readonly price: MeterPrice;
  /** Of other meters, at the same moment: another day, or none, is said of all. */
  readonly others: readonly MeterPrice[];
  readonly onClose: () => void;
}

function CorrectPrice({ machine, price, others, onClose }: CorrectPriceProps) {
  const { api } = useOperator();
  const { currency } = price.unitValue;
  const amountOf = (typed: string) => readTypedAmount({ text: typed, currency, locale });
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { way: 'amount', amount: formatAmount(price.unitValue, locale), at: toLocal(price.at), reason: '' },
    missing: (now) => ({
      amount: now.way === 'amount' && amountOf(now.amount) === null && words.machines.meters.unitWrong,
      at: now.way === 'day' && toInstant(now.at) === undefined && text.whenMissing,
      reason: now.reason.trim().length < shortestReason && words.reasonMissing,
    }),
    body: (now) => ({
      machineId: machine.id,
      body: {
        changedAt: price.at, reason: now.reason.trim(),
        ...(now.way === 'amount' ? { unitValues: [{ meterId: price.meterId, unitValue: amountOf(now.amount) ?? price.unitValue }] } : now.way === 'day' ? { at: toInstant(now.at) ?? price.at } : { withdrawn: true }),
      },
    }),
    send: api.correctPrice,
    named: { unitValues: 'amount', withdrawn: 'way', changedAt: 'way' },
    changes: changesOf(machine.id),
    onDone: onClose,
  });
  const ways = price.isFirst ? (['amount'] as const) : (['amount', 'day', 'none'] as const);
  return (
    <FormDialog title={text.correctTitle(price.meterLabel, formatInstant(price.at, locale))} lead={text.lead} errors={errors} busy={busy} action={text.correct} onSubmit={submit} onClose={onClose}>
      <OwnRecord recordedBy={price.recordedBy} />
      <SelectField {...field('way')} label={words.machines.meters.way} options={ways.map((value) => ({ value, text: text.ways[value] }))} />
      {typed.way === 'amount' ? <Field {...field('amount')} label={text.was(currency)} inputMode="decimal" autoComplete="off" /> : null}
      {typed.way === 'day' ? <Field {...field('at')} type="datetime-local" label={text.changedAt} hint={text.changedAtHint} /> : null}
      {typed.way === 'amount' || others.length === 0 ? null : <p>{text.others(others.map(({ meterLabel }) => meterLabel).join(', '))}</p>}
      <Field {...field('reason')} label={words.reason} maxLength={1000} autoComplete="off" />
    </FormDialog>
  );
}
