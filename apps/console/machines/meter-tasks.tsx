import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { Machine, MeterReading, MeterTasks } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { readTypedAmount } from '../format/typed-amount';
import { toInstant, toLocal } from '../keys/moment';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { useCurrencyAt } from './currency';
import { boardsQuery, machineKey, meterTasksKey, meterTasksQuery, readingsQuery } from './queries';
import { RecordReadings } from './reading-forms';

const text = words.machines.tasks;
const shortestReason = 3;

type Readings = MeterTasks['readings'][number];
type Removal = MeterTasks['removals'][number];

const whenOf = ({ day, at }: Readings): string => (day === null ? formatInstant(at, locale) : formatDay(day, locale));

type SiteNamed = ReturnType<typeof useSiteNames>;

function sayReadings(task: Readings, siteNamed: SiteNamed): string {
  const occasion = words.machines.meters.occasions[task.occasion];
  return text.readings({ occasion, when: whenOf(task), site: task.siteCode === null ? null : siteNamed(task.siteCode), meters: task.meters.map(({ label }) => label).join(', ') });
}

function sayRemoval({ siteCode, removedOn, nextSiteCode }: Removal, siteNamed: SiteNamed): string {
  return text.removal({ site: siteNamed(siteCode), day: formatDay(removedOn, locale), next: nextSiteCode === null ? null : siteNamed(nextSiteCode) });
}

/** When the other meters were read for it; else the moment itself, or noon of its day. */
function likelyWhen({ occasion, day, at }: Readings, readings: readonly MeterReading[]): string {
  const read = readings.find((each) => each.occasion === occasion && each.value !== null && each.replacedById === null && (day === null ? Date.parse(each.happenedAt) === Date.parse(at) : toLocal(each.happenedAt).slice(0, 10) === day));
  return read !== undefined ? toLocal(read.happenedAt) : day === null ? toLocal(at) : `${day}T12:00`;
}

/** Everything of this kind, machine by machine, with the way there. */
export function MeterTasksNotice() {
  const { api, may, to } = useOperator();
  const siteNamed = useSiteNames();
  const { data: tasks } = useQuery({ ...meterTasksQuery(api, null), enabled: may('meter-reading.correct') });
  if (tasks === undefined || tasks.readings.length + tasks.removals.length === 0) return null;
  const lines = [...tasks.removals.map((task) => ({ task, says: sayRemoval(task, siteNamed) })), ...tasks.readings.map((task) => ({ task, says: sayReadings(task, siteNamed) }))];
  return (
    <details className="notice">
      <summary>{text.title(lines.length, tasks.more)}</summary>
      <p>{text.lead}</p>
      <ul>
        {lines.map(({ task: { machineId, machineTag }, says }) => (
          <li key={`${machineId} ${says}`}>
            <Link to={to(`machines/${machineId}`)}>{machineTag}</Link> {says}
          </li>
        ))}
      </ul>
    </details>
  );
}

/** What is to be entered of one machine, with the forms for it. */
export function MeterTasksSection({ machine }: { readonly machine: Machine }) {
  const { api, may } = useOperator();
  const siteNamed = useSiteNames();
  const { data: tasks } = useQuery(meterTasksQuery(api, machine.id));
  const { data: boards } = useQuery(boardsQuery(api, machine.id));
  const { data: readings = [] } = useQuery({ ...readingsQuery(api, machine.id), enabled: may('meter-reading.read') });
  const [asked, setAsked] = useState<Readings | Removal | null>(null);
  const close = () => setAsked(null);
  if (tasks === undefined || tasks.readings.length + tasks.removals.length === 0) return null;
  /** The board that was in the machine then: another may be in it now. */
  const boardOf = (task: Readings) => boards?.find(({ meters }) => meters.some(({ id }) => task.meters.some(({ meterId }) => meterId === id)));
  const readingsAsked = asked !== null && 'occasion' in asked ? asked : null;
  const board = readingsAsked === null ? undefined : boardOf(readingsAsked);
  return (
    <section className="section" aria-labelledby="meter-tasks">
      <h2 id="meter-tasks">{text.sectionTitle}</h2>
      <p className="soft">{text.lead}</p>
      <ul className="stack">
        {tasks.removals.map((task) => (
          <li key={task.placementId}>
            {sayRemoval(task, siteNamed)} {may('collection.create') ? <OpenButton about={siteNamed(task.siteCode)} onClick={() => setAsked(task)}>{text.enterCount}</OpenButton> : null}
          </li>
        ))}
        {tasks.readings.map((task) => (
          <li key={`${task.occasion} ${task.at}`}>
            {sayReadings(task, siteNamed)} {may('meter-reading.record') && boardOf(task) !== undefined ? <OpenButton about={`${words.machines.meters.occasions[task.occasion]} ${whenOf(task)}`} onClick={() => setAsked(task)}>{text.enterReadings}</OpenButton> : null}
          </li>
        ))}
      </ul>
      {readingsAsked === null || board === undefined ? null : (
        <RecordReadings machine={machine} board={board} first={{ occasion: readingsAsked.occasion, when: likelyWhen(readingsAsked, readings), at: readingsAsked.occasion === 'price-change' || readingsAsked.occasion === 'board-access' ? readingsAsked.at : null }} onClose={close} />
      )}
      {asked !== null && 'removedOn' in asked ? <RemovalCount task={asked} onClose={close} /> : null}
    </section>
  );
}

/** What was in the box as the machine left, counted then or in the workshop: it belongs to the site that the machine left. */
function RemovalCount({ task, onClose }: { readonly task: Removal; readonly onClose: () => void }) {
  const { api } = useOperator();
  const siteNamed = useSiteNames();
  const id = useId();
  const { currency, needs } = useCurrencyAt(task.siteId);
  const [when, setWhen] = useState(`${task.removedOn}T12:00`);
  const [typed, setTyped] = useState({ coin: '', note: '', metered: '', bookedOn: '', bookedWhy: '' });
  const { data: boards } = useQuery(boardsQuery(api, task.machineId));
  const emptied = Date.parse(toInstant(when) ?? '');
  const hasMeters = boards === undefined || boards.some(({ fittedAt, removedAt }) => Date.parse(fittedAt) <= emptied && (removedAt === null || Date.parse(removedAt) > emptied));
  const fields = { happenedAt: `${id}-when`, counts: `${id}-coin`, accountingDate: `${id}-bookedOn`, accountingReason: `${id}-bookedWhy` };
  const { errors, busy, submit } = useSending({
    send: api.countRemoval, fields, elsewhere: (place, message) => ({ fieldId: place.endsWith('/meteredAmount') ? (hasMeters ? null : `${id}-metered`) : place.startsWith('#/counts') ? fields.counts : null, message }), changes: [machineKey(task.machineId), meterTasksKey, ['collections']], onDone: onClose,
  });
  const amountOf = (name: 'coin' | 'note' | 'metered') => (currency === null ? null : readTypedAmount({ text: typed[name], currency, locale, zero: true }));
  const isMetered = !hasMeters && typed.metered.trim() !== '';
  const isElsewhere = typed.bookedOn !== '' && typed.bookedOn !== when.slice(0, 10);
  const set = (name: keyof typeof typed) => (value: string) => setTyped((before) => ({ ...before, [name]: value }));
  const send = () => {
    const [happenedAt, coin, note] = [toInstant(when), amountOf('coin'), amountOf('note')];
    const none = { amount: '0', currency: currency ?? '' };
    const meteredAmount = isMetered ? amountOf('metered') : null;
    submit(
      {
        siteId: task.siteId, happenedAt: happenedAt ?? '', placementId: task.placementId, coin: coin ?? none, note: note ?? none,
        ...(meteredAmount === null ? {} : { meteredAmount }),
        ...(isElsewhere ? { booked: { accountingDate: typed.bookedOn, accountingReason: typed.bookedWhy.trim() } } : {}),
      }, [
      unless(happenedAt !== undefined, fields.happenedAt, words.machines.meters.whenMissing),
      ...(['coin', 'note'] as const).map((name) => unless(amountOf(name) !== null, `${id}-${name}`, words.phone.errors.amount)),
      unless(!isMetered || meteredAmount !== null, `${id}-metered`, words.phone.errors.amount),
      unless(!isElsewhere || typed.bookedWhy.trim().length >= shortestReason, fields.accountingReason, words.reasonMissing),
    ]);
  };
  return (
    <FormDialog title={text.countTitle(task.machineTag, siteNamed(task.siteCode))} lead={task.nextSiteCode === null ? text.countLead : `${text.countLead} ${text.countWentOn(siteNamed(task.nextSiteCode))}`} errors={errors} busy={busy} needs={needs} action={text.enterCount} onSubmit={send} onClose={onClose}>
      <Field id={fields.happenedAt} type="datetime-local" label={text.emptiedAt} hint={text.emptiedAtHint} error={errorAt(errors, fields.happenedAt)} value={when} onValue={setWhen} />
      {(['coin', 'note'] as const).map((name) => (
        <Field
          key={name} id={`${id}-${name}`} label={words.entered.counts[name]} hint={words.entered.uncounted.zero} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-${name}`)} value={typed[name]}
          onValue={set(name)}
        />
      ))}
      {hasMeters ? null : <Field id={`${id}-metered`} label={text.metered} hint={text.meteredHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-metered`)} value={typed.metered} onValue={set('metered')} />}
      <Field id={fields.accountingDate} type="date" label={words.booking.bookedOn} hint={text.bookedHint} error={errorAt(errors, fields.accountingDate)} value={typed.bookedOn} onValue={set('bookedOn')} />
      {isElsewhere ? <Field id={fields.accountingReason} label={words.besideCounts.bookedWhy} maxLength={1000} autoComplete="off" error={errorAt(errors, fields.accountingReason)} value={typed.bookedWhy} onValue={set('bookedWhy')} /> : null}
    </FormDialog>
  );
}
