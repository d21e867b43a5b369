import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CounterBoard, EnteredMeters } from '../api/shapes';
import { isShown } from '../format/shown';
import { today } from '../keys/set-up/day-field';
import { toInstant, toLocal } from '../keys/moment';
import { Field } from '../parts/field';
import type { FormError } from '../parts/error-summary';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { unless } from '../parts/use-sending';
import { missingIn, notSaid, readUnread, WhyNotRead, type Unread } from '../parts/why-not-read';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { boardsQuery } from './queries';

const text = words.machines.meters;

interface Typed {
  readonly value: string;
  /** Where a meter is read before and after. */
  readonly after: string;
  readonly unread: Unread;
}

const nothing: Typed = { value: '', after: '', unread: notSaid };

/**
 * What the meters of a machine showed as something happened to it, or why they were not read, beside a form about that.
 * Left empty they are entered later: what happened has happened.
 */
export function useMetersShown(machineId: string, { isReadTwice = false }: { readonly isReadTwice?: boolean } = {}) {
  const { api, may } = useOperator();
  const id = useId();
  const boards = useQuery({ ...boardsQuery(api, machineId), enabled: machineId !== '' && may('meter.read') });
  const meters: CounterBoard['meters'] = boards.data?.find(({ removedAt }) => removedAt === null)?.meters ?? [];
  const [typed, setTyped] = useState<Readonly<Record<string, Typed>>>({});
  const [time, setTime] = useState(() => toLocal(new Date().toISOString()).slice(11));
  const of = (meterId: string): Typed => typed[meterId] ?? nothing;
  const change = (meterId: string, part: Partial<Typed>) => setTyped((now) => ({ ...now, [meterId]: { ...(now[meterId] ?? nothing), ...part } }));
  const read = meters.filter(({ id: meterId }) => of(meterId).value.trim() !== '');
  const unread = meters.filter((meter) => !read.includes(meter) && of(meter.id).unread.why !== '');
  const fieldOf = (meterId: string): string => `${id}-${meterId}`;
  const readAtOn = (day: string): { readonly readAt?: string } => {
    const readAt = toInstant(`${day}T${time}`);
    const isNow = day === today() && time >= toLocal(new Date().toISOString()).slice(11);
    return isNow || readAt === undefined ? {} : { readAt };
  };
  const entered: EnteredMeters | null =
    read.length + unread.length === 0
      ? null
      : {
          readings: read.map(({ id: meterId }) => ({ meterId, value: of(meterId).value.trim() })),
          unread: unread.flatMap(({ id: meterId }) => {
            const said = readUnread(of(meterId).unread);
            return said === null ? [] : [{ meterId, ...said }];
          }),
        };
  return {
    /** As the api takes them with a moment of their own; null where nothing was entered. */
    entered,
    /** The same with the time of a day at which they were read. */
    enteredOn: (day: string) => (entered === null ? null : { ...entered, ...readAtOn(day) }),
    /** The same of meters that were read before and after. */
    enteredAround: (day: string) =>
      entered === null ? null : { readings: read.map(({ id: meterId }) => ({ meterId, value: of(meterId).value.trim(), valueAfter: of(meterId).after.trim() })), unread: entered.unread ?? [], ...readAtOn(day) },
    wrong: (): readonly (FormError | null)[] => [
      ...read.map(({ id: meterId }) => unless(isShown(of(meterId).value), fieldOf(meterId), text.valueWrong)),
      ...(isReadTwice ? read : []).map(({ id: meterId }) => unless(isShown(of(meterId).after), `${fieldOf(meterId)}-after`, text.valueWrong)),
      ...unread.map(({ id: meterId }) => unless(missingIn(of(meterId).unread) !== 'note', `${fieldOf(meterId)}-note`, words.notRead.noteMissing)),
    ],
    /** The field for a place that the api names: `#/meters/readings/1/value`; null for another. */
    placeOf: (pointer: string): string | null => {
      const [, list, index = '0', name] = /^#\/\w+\/(readings|unread|readAt)(?:\/(\d+)(?:\/(\w+))?)?/.exec(pointer) ?? [];
      if (list === undefined) return null;
      if (list === 'readAt') return `${id}-time`;
      const meter = (list === 'readings' ? read : unread)[Number(index)];
      return meter === undefined ? null : list === 'readings' ? (name === 'valueAfter' ? `${fieldOf(meter.id)}-after` : fieldOf(meter.id)) : `${fieldOf(meter.id)}-why`;
    },
    fields: (shown: { readonly title: string; readonly hint: string; readonly errors: readonly FormError[]; readonly asksTime: boolean }) =>
      meters.length === 0 ? null : (
        <fieldset className={framed.box}>
          <legend>{shown.title}</legend>
          <p className="field-hint">{shown.hint}</p>
          {shown.asksTime ? <Field id={`${id}-time`} type="time" label={text.readAtTime} error={errorAt(shown.errors, `${id}-time`)} value={time} onValue={setTime} /> : null}
          {meters.map(({ id: meterId, label }) => (
            <div key={meterId}>
              <Field id={fieldOf(meterId)} label={isReadTwice ? text.before(label) : label} inputMode="numeric" autoComplete="off" error={errorAt(shown.errors, fieldOf(meterId))} value={of(meterId).value} onValue={(value) => change(meterId, { value })} />
              {isReadTwice && of(meterId).value.trim() !== '' ? <Field id={`${fieldOf(meterId)}-after`} label={text.after(label)} inputMode="numeric" autoComplete="off" error={errorAt(shown.errors, `${fieldOf(meterId)}-after`)} value={of(meterId).after} onValue={(after) => change(meterId, { after })} /> : null}
              {of(meterId).value.trim() === '' ? <WhyNotRead id={fieldOf(meterId)} label={label} unread={of(meterId).unread} errors={shown.errors} onUnread={(said) => change(meterId, { unread: said })} /> : null}
            </div>
          ))}
        </fieldset>
      ),
  };
}
