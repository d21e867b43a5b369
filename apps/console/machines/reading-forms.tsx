import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CounterBoard, Machine, MeterReading } from '../api/shapes';
import { OwnRecord } from '../audit/recorded-by';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount } from '../format/money';
import { isShown } from '../format/shown';
import { readTypedAmount } from '../format/typed-amount';
import { toInstant, toLocal } from '../keys/moment';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useTypedForm } from '../parts/use-typed-form';
import { missingIn, notSaid, readUnread, WhyNotRead, type Unread } from '../parts/why-not-read';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { machineKey, meterTasksKey, readingsQuery } from './queries';
import framed from '../parts/framed.module.css';
import styles from '../terms/terms.module.css';

const text = words.machines.meters;
const shortestReason = 3;

export const changesOf = (machineId: string) => [machineKey(machineId), meterTasksKey, ['variances'], ['collections'], ['month-end']];

/** Another value in the place of one that was read wrong, the same as somebody else's word that it is so, or none. */
export function CorrectReading({ machine, reading, onClose }: { readonly machine: Machine; readonly reading: MeterReading; readonly onClose: () => void }) {
  const { api } = useOperator();
  // Where somebody said why it went down, that is asked again: it goes with what is said here.
  const isDoubtful = reading.passedEnd || reading.interval?.kind === 'rollover-or-reset';
  const ways = isDoubtful ? (['passed-end', 'value', 'take-back'] as const) : (['value', 'take-back'] as const);
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { way: reading.passedEnd ? 'passed-end' : isDoubtful ? '' : 'value', value: reading.value ?? '', reason: '' },
    missing: (now) => ({
      way: now.way === '' && text.wayMissing,
      value: now.way === 'value' && !isShown(now.value) && text.valueWrong,
      reason: now.reason.trim().length < shortestReason && words.reasonMissing,
    }),
    body: (now) => ({ id: reading.id, body: { value: now.way === 'take-back' ? null : now.way === 'value' ? now.value.trim() : (reading.value ?? ''), passedEnd: now.way === 'passed-end', reason: now.reason.trim() } }),
    send: api.correctReading,
    named: { passedEnd: 'way' },
    changes: changesOf(machine.id),
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(reading.meterLabel, formatInstant(reading.happenedAt, locale))} lead={isDoubtful ? text.whyDownLead : text.correctLead} errors={errors} busy={busy} action={text.correct} onSubmit={submit} onClose={onClose}>
      <OwnRecord recordedBy={reading.recordedBy} />
      <SelectField {...field('way')} label={text.way} {...(isDoubtful ? { none: words.setUp.choose } : {})} options={ways.map((value) => ({ value, text: text.ways[value] }))} />
      {typed.way === 'value' ? <Field {...field('value')} label={text.shows} hint={reading.passedEnd ? text.passedEndGoes : text.sameHint} inputMode="numeric" autoComplete="off" /> : null}
      <Field {...field('reason')} label={words.reason} maxLength={1000} autoComplete="off" />
    </FormDialog>
  );
}

const occasions = ['price-change', 'board-access', 'game-change', 'out-of-service', 'in-service', 'placement', 'removal'] as const;
type Occasion = (typeof occasions)[number];

/** Occasions at which a meter may be left out with its reason. */
const mayBeUnread = (occasion: Occasion): boolean => occasion !== 'board-access';

/** Occasions at which a meter is read before and after. */
const isReadTwice = (occasion: MeterReading['occasion']): boolean => occasion === 'board-access' || occasion === 'game-change';

interface Shown {
  readonly value: string;
  readonly after: string;
  readonly unitValue: string;
  readonly again: boolean;
  readonly unread: Unread;
}

const notShown: Shown = { value: '', after: '', unitValue: '', again: false, unread: notSaid };

interface RecordReadingsProps {
  readonly machine: Machine;
  readonly board: CounterBoard;
  /** The occasion and the local time that are likely meant; `at`: the very moment of a change of price, or of a board that was opened, that is recorded. */
  readonly first?: { readonly occasion: Occasion; readonly when: string; readonly at: string | null };
  readonly onClose: () => void;
}

/** What the meters showed when no box was emptied: at a change of price, while the board was open, when it failed. */
export function RecordReadings({ machine, board, first, onClose }: RecordReadingsProps) {
  const { api, may } = useOperator();
  const id = useId();
  const [occasion, setOccasion] = useState<Occasion>(first?.occasion ?? 'price-change');
  const [when, setWhen] = useState(() => first?.when ?? toLocal(new Date().toISOString()));
  const [shown, setShown] = useState<Readonly<Record<string, Shown>>>({});
  const readings = useQuery({ ...readingsQuery(api, machine.id), enabled: may('meter-reading.read') });
  const { data: earlier = [] } = readings;
  // A change of price asks for what a unit is worth of each meter, read already or not.
  const isMomentKnown = first !== undefined && occasion === first.occasion && first.at !== null && when === first.when;
  const isPriceKnown = occasion === 'price-change' && isMomentKnown;
  const readThen = occasion === 'price-change' && !isPriceKnown ? [] : earlier.filter((each) => each.value !== null && each.replacedById === null && toLocal(each.happenedAt) === when && isReadTwice(each.occasion) === isReadTwice(occasion));
  const happenedAt = (isMomentKnown ? first.at : readThen[0]?.happenedAt) ?? toInstant(when);
  const readAlready = readThen.filter((each) => each.happenedAt === happenedAt);
  const meters = board.meters.filter(({ id: meterId }) => !readAlready.some((each) => each.meterId === meterId));
  const isExcused = ({ id: meterId }: { readonly id: string }): boolean => mayBeUnread(occasion) && of(meterId).value.trim() === '' && of(meterId).unread.why !== '';
  const of = (meterId: string): Shown => shown[meterId] ?? notShown;
  const change = (meterId: string, part: Partial<Shown>) => setShown((now) => ({ ...now, [meterId]: { ...(now[meterId] ?? notShown), ...part } }));
  const place = (index: number, name: keyof Shown) => `${id}-${String(index)}-${name}`;
  const renewed = occasion === 'price-change' && !isPriceKnown ? meters.filter(({ id: meterId }) => of(meterId).unitValue.trim() !== '') : [];
  // The price has changed, whether or not somebody read the meters; where nobody did, the office says so.
  const mayChangeUnread = may('meter-price.change-unread');
  const isPriceAlone = mayChangeUnread && renewed.length > 0 && meters.every(({ id: meterId }) => of(meterId).value.trim() === '' && of(meterId).unread.why === '');
  const fields = { happenedAt: `${id}-when`, occasion: `${id}-occasion` };
  const { errors, busy, submit } = useSending({ send: api.recordReadings, fields, elsewhere: (pointer, message) => ({ fieldId: fieldOf(pointer), message }), changes: changesOf(machine.id), onDone: onClose });

  /** `#/readings/1/value` is about what the second meter shows. */
  function fieldOf(pointer: string): string | null {
    const [, list, index = '0', name] = /^#\/(readings|newUnitValues)(?:\/(\d+)(?:\/(\w+))?)?/.exec(pointer) ?? [];
    if (list === undefined) return null;
    if (list === 'readings') return place(Math.max(0, meters.findIndex((meter) => meter.id === meters.filter((each) => !isExcused(each))[Number(index)]?.id)), name === 'valueAfter' ? 'after' : 'value');
    return place(Math.max(0, meters.findIndex((meter) => meter.id === renewed[Number(index)]?.id)), 'unitValue');
  }

  const unitOf = (meter: CounterBoard['meters'][number]) => readTypedAmount({ text: of(meter.id).unitValue, currency: meter.unitValue.currency, locale });
  const send = () =>
    submit(
      {
        machineId: machine.id,
        body: {
          happenedAt: happenedAt ?? '', occasion,
          unread: meters.filter(isExcused).flatMap((meter) => {
            const said = readUnread(of(meter.id).unread);
            return said === null ? [] : [{ meterId: meter.id, ...said }];
          }),
          readings: meters.filter((meter) => !isExcused(meter) && !isPriceAlone).map((meter) => {
            const { value, after, again } = of(meter.id);
            return { meterId: meter.id, value: value.trim(), readAgain: again, ...(isReadTwice(occasion) ? { valueAfter: after.trim() } : {}) };
          }),
          newUnitValues: renewed.map((meter) => ({ meterId: meter.id, unitValue: unitOf(meter) ?? meter.unitValue })),
        },
      },
      [
        unless(happenedAt !== undefined, fields.happenedAt, text.whenMissing),
        ...meters.flatMap((meter, index) => [
          unless(isPriceAlone || isExcused(meter) || isShown(of(meter.id).value), place(index, 'value'), mayBeUnread(occasion) ? words.notRead.readingMissing : text.valueWrong),
          unless(!isExcused(meter) || missingIn(of(meter.id).unread) === null, `${place(index, 'value')}-note`, words.notRead.noteMissing),
          unless(!isReadTwice(occasion) || isExcused(meter) || isShown(of(meter.id).after), place(index, 'after'), text.valueWrong),
          unless(!renewed.includes(meter) || unitOf(meter) !== null, place(index, 'unitValue'), text.unitWrong),
        ]),
        unless(occasion !== 'price-change' || isPriceKnown || renewed.length > 0, place(0, 'unitValue'), text.unitMissing),
      ],
    );
  return (
    <FormDialog title={text.recordTitle(machine.tag)} lead={isPriceKnown ? text.priceKnown : occasion === 'price-change' && mayChangeUnread ? `${text.recordLead} ${text.priceAlone}` : text.recordLead} errors={errors} busy={busy} needs={[readings]} action={text.record} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.occasion} label={text.occasion} error={errorAt(errors, fields.occasion)} value={occasion} options={occasions.map((value) => ({ value, text: text.occasions[value] }))}
        onValue={(value) => setOccasion(occasions.find((each) => each === value) ?? occasion)}
      />
      <Field id={fields.happenedAt} type="datetime-local" label={text.when} error={errorAt(errors, fields.happenedAt)} value={when} onValue={setWhen} />
      {board.meters.filter((meter) => !meters.includes(meter)).map((meter) => (
        <p key={meter.id}>{text.readAlready(meter.label, readAlready.find(({ meterId }) => meterId === meter.id)?.value ?? '')}</p>
      ))}
      {meters.map((meter, index) => {
        const at = (name: 'value' | 'after' | 'unitValue') => ({ id: place(index, name), error: errorAt(errors, place(index, name)), value: of(meter.id)[name], onValue: (typed: string) => change(meter.id, { [name]: typed }) });
        return (
          <fieldset key={meter.id} className={styles.item}>
            <legend>{meter.label}</legend>
            <Field {...at('value')} label={isReadTwice(occasion) ? text.showedBefore : text.shows} inputMode="numeric" autoComplete="off" />
            {isReadTwice(occasion) && !isExcused(meter) ? <Field {...at('after')} label={text.showedAfter} inputMode="numeric" autoComplete="off" /> : null}
            {occasion === 'price-change' && !isPriceKnown ? <Field {...at('unitValue')} label={text.unitFromNow(meter.unitValue.currency)} hint={text.unitBefore(formatAmount(meter.unitValue, locale))} inputMode="decimal" autoComplete="off" /> : null}
            {mayBeUnread(occasion) && of(meter.id).value.trim() === '' ? <WhyNotRead id={place(index, 'value')} label={meter.label} unread={of(meter.id).unread} errors={errors} onUnread={(unread) => change(meter.id, { unread })} /> : null}
            {at('value').error !== undefined && isShown(of(meter.id).value) ? (
              <label className={framed.tick}>
                <input type="checkbox" checked={of(meter.id).again} onChange={(event) => change(meter.id, { again: event.currentTarget.checked })} />
                {text.readAgain}
              </label>
            ) : null}
          </fieldset>
        );
      })}
    </FormDialog>
  );
}
