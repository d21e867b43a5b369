import { useId, useState } from 'react';
import type { CurrencyCode } from '#domain/money/currency';
import type { CounterBoard, Machine } from '../api/shapes';
import { locale } from '../format/locale';
import { isShown } from '../format/shown';
import { at, today } from '../keys/set-up/day-field';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import type { FormError } from '../parts/error-summary';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { daysToldApartOf, firstsFor, isSecondUnsaid, newMeter, readMeter, tenders, wrongIn, type MeterDraft, type MeterField } from './board-draft';
import { machineKey } from './queries';
import styles from '../terms/terms.module.css';

const text = words.machines.meters;

const messages: Readonly<Record<MeterField, string>> = { label: text.nameMissing, unitValue: text.unitWrong, digits: text.digitsWrong, mostPerHour: text.mostWrong, value: text.valueWrong };

/** Boxes are usually emptied at least once a month. No source: common practice. */
const monthDays = 31;

interface FitBoardProps {
  readonly machine: Machine;
  /** The one that comes out: each of its meters is read. */
  readonly replaced: CounterBoard | null;
  readonly currency: CurrencyCode;
  readonly onClose: () => void;
}

/** A counter board with its meters and what they show. */
export function FitBoard({ machine, replaced, currency, onClose }: FitBoardProps) {
  const { api } = useOperator();
  const id = useId();
  const [label, setLabel] = useState('');
  const [fittedOn, setFittedOn] = useState(today());
  const [meters, setMeters] = useState<readonly MeterDraft[]>([newMeter(1, 'coin')]);
  const [shown, setShown] = useState<Readonly<Record<string, string>>>({});
  const old = replaced?.meters ?? [];
  const fields = { label: `${id}-label`, meters: `${id}-1-label`, replacedReadings: `${id}-old-0`, fittedAt: `${id}-since` };
  const { errors, busy, submit } = useSending({ send: api.fitBoard, fields, changes: [machineKey(machine.id)], onDone: onClose });
  const reading = { currency, locale };
  const send = () =>
    submit(
      {
        machineId: machine.id,
        body: { label: label.trim(), ...at('fittedAt', fittedOn), meters: meters.map((meter) => readMeter(meter, { ...reading, meters })), replacedReadings: old.map((meter) => ({ meterId: meter.id, value: (shown[meter.id] ?? '').trim() })) },
      },
      [
        ...old.map((meter, index) => unless(isShown(shown[meter.id] ?? ''), `${id}-old-${String(index)}`, text.valueWrong)),
        unless(label.trim() !== '', fields.label, text.labelMissing),
        unless(fittedOn !== '', fields.fittedAt, words.setUp.dayMissing),
        ...meters.flatMap((meter) => [
          unless(!isSecondUnsaid(meter, meters), `${id}-${String(meter.key)}-second-of`, text.secondOfUnsaid),
          ...wrongIn(meter, reading).map((name) => unless(false, `${id}-${String(meter.key)}-${name}`, messages[name])),
        ]),
      ],
    );
  const change = (key: number, part: Partial<MeterDraft>) => setMeters((now) => now.map((each) => (each.key === key ? { ...each, ...part } : each)));
  const nextKey = Math.max(...meters.map(({ key }) => key)) + 1;
  return (
    <FormDialog title={text.fitTitle(machine.tag)} lead={text.fitLead} errors={errors} busy={busy} action={text.fitAction} onSubmit={send} onClose={onClose}>
      {replaced === null ? null : (
        <fieldset className={styles.item}>
          <legend>{text.replaced(replaced.label)}</legend>
          {old.map((meter, index) => (
            <Field
              key={meter.id} id={`${id}-old-${String(index)}`} label={meter.label} inputMode="numeric" autoComplete="off" error={errorAt(errors, `${id}-old-${String(index)}`)} value={shown[meter.id] ?? ''}
              onValue={(value) => setShown((now) => ({ ...now, [meter.id]: value }))}
            />
          ))}
        </fieldset>
      )}
      <Field id={fields.label} label={text.label} hint={text.labelHint} maxLength={200} autoComplete="off" error={errorAt(errors, fields.label)} value={label} onValue={setLabel} />
      <Field id={fields.fittedAt} type="date" label={text.fittedOn} hint={text.fittedOnHint} max={today()} error={errorAt(errors, fields.fittedAt)} value={fittedOn} onValue={setFittedOn} />
      {meters.map((meter, index) => (
        <OneMeter
          key={meter.key} id={`${id}-${String(meter.key)}`} number={index + 1} meter={meter} meters={meters} currency={currency} errors={errors} onChange={(part) => change(meter.key, part)}
          onRemove={meters.length === 1 ? null : () => setMeters((now) => now.filter(({ key }) => key !== meter.key))}
        />
      ))}
      <div>
        <button type="button" className="button button-small" onClick={() => setMeters([...meters, newMeter(nextKey, 'note')])}>
          {text.addMeter}
        </button>
      </div>
    </FormDialog>
  );
}

/** A board comes out and no other goes in: each of its meters is read. */
export function RemoveBoard({ machine, board, onClose }: { readonly machine: Machine; readonly board: CounterBoard; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [removedOn, setRemovedOn] = useState(today());
  const [shown, setShown] = useState<Readonly<Record<string, string>>>({});
  const fieldOf = (index: number) => `${id}-${String(index)}`;
  const fields = { removedAt: `${id}-on`, readings: fieldOf(0) };
  const { errors, busy, submit } = useSending({ send: api.removeBoard, fields, changes: [machineKey(machine.id)], onDone: onClose });
  const valueOf = (meterId: string): string => (shown[meterId] ?? '').trim();
  const send = () =>
    submit({ id: board.id, body: { ...at('removedAt', removedOn), readings: board.meters.map((meter) => ({ meterId: meter.id, value: valueOf(meter.id) })) } }, [
      unless(removedOn !== '', fields.removedAt, words.setUp.dayMissing),
      ...board.meters.map((meter, index) => unless(isShown(valueOf(meter.id)), fieldOf(index), text.valueWrong)),
    ]);
  return (
    <FormDialog title={text.removeTitle(board.label, machine.tag)} lead={text.removeLead} errors={errors} busy={busy} action={text.remove} onSubmit={send} onClose={onClose}>
      <Field id={fields.removedAt} type="date" label={text.removedOn} max={today()} error={errorAt(errors, fields.removedAt)} value={removedOn} onValue={setRemovedOn} />
      <fieldset className={styles.item}>
        <legend>{text.replaced(board.label)}</legend>
        {board.meters.map((meter, index) => (
          <Field
            key={meter.id} id={fieldOf(index)} label={meter.label} inputMode="numeric" autoComplete="off" error={errorAt(errors, fieldOf(index))} value={shown[meter.id] ?? ''}
            onValue={(value) => setShown((now) => ({ ...now, [meter.id]: value }))}
          />
        ))}
      </fieldset>
    </FormDialog>
  );
}

interface OneMeterProps {
  readonly id: string;
  readonly number: number;
  readonly meter: MeterDraft;
  /** All of the board, as they are typed. */
  readonly meters: readonly MeterDraft[];
  readonly currency: CurrencyCode;
  readonly errors: readonly FormError[];
  readonly onChange: (part: Partial<MeterDraft>) => void;
  readonly onRemove: (() => void) | null;
}

function OneMeter({ id, number, meter, meters, currency, errors, onChange, onRemove }: OneMeterProps) {
  const field = (name: MeterField) => ({ id: `${id}-${name}`, value: meter[name], error: errorAt(errors, `${id}-${name}`), onValue: (value: string) => onChange({ [name]: value }) });
  const firsts = firstsFor(meter, meters);
  const days = daysToldApartOf(meter);
  return (
    <fieldset className={styles.item}>
      <legend>{text.one(number)}</legend>
      <Field {...field('label')} label={text.name} maxLength={200} autoComplete="off" />
      <SelectField id={`${id}-tender`} label={text.counts} value={meter.tender} options={tenders.map((value) => ({ value, text: text.tenders[value] }))} onValue={(value) => onChange({ tender: tenders.find((each) => each === value) ?? meter.tender })} />
      {firsts.length === 0 ? null : (
        <SelectField
          id={`${id}-second-of`} label={text.secondOf} hint={text.secondOfHint} value={String(meter.secondOf ?? '')} none={words.setUp.choose} error={errorAt(errors, `${id}-second-of`)}
          options={[{ value: 'own', text: text.byItself }, ...firsts.map(({ key, label }) => ({ value: String(key), text: label.trim() === '' ? text.one(meters.findIndex((each) => each.key === key) + 1) : label.trim() }))]}
          onValue={(value) => onChange({ secondOf: value === 'own' ? 'own' : (firsts.find(({ key }) => String(key) === value)?.key ?? null) })}
        />
      )}
      <Field {...field('unitValue')} label={text.unitValue(currency)} inputMode="decimal" autoComplete="off" />
      <Field {...field('value')} label={text.value} inputMode="numeric" autoComplete="off" />
      <Field {...field('digits')} label={text.digits} hint={text.digitsHint} inputMode="numeric" autoComplete="off" />
      <Field {...field('mostPerHour')} label={text.mostPerHour} hint={text.mostPerHourHint} inputMode="numeric" autoComplete="off" />
      {days === null || days >= monthDays ? null : <p className="notice" role="status">{text.tooFewDigits(days)}</p>}
      {onRemove === null ? null : (
        <div>
          <button type="button" className="button button-small" onClick={onRemove}>
            {text.removeMeter(number)}
          </button>
        </div>
      )}
    </fieldset>
  );
}
