import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Outage } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { toInstant, toLocal } from '../keys/moment';
import { machinesQuery, peopleQuery } from '../keys/queries';
import { MachineField } from '../machines/choice';
import { useMetersShown } from '../machines/meters-shown';
import { meterTasksKey } from '../machines/queries';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { machineFaultsQuery, outagesQuery } from './queries';

const text = words.machineReports;
const say = text.outages;

/** Questions whose answers are others once an outage begins or ends. */
const changesOf = (api: Parameters<typeof outagesQuery>[0]) => [outagesQuery(api).queryKey, machineFaultsQuery(api).queryKey, ['machines'], meterTasksKey, ['variances']];

/** A machine that does not work, or did not for a while. */
export function ReportOutage({ onClose }: { readonly onClose: () => void }) {
  const { api, may } = useOperator();
  const id = useId();
  const machines = useQuery(machinesQuery(api));
  const everybody = useQuery({ ...peopleQuery(api), enabled: may('person.read') });
  const [machineId, setMachineId] = useState('');
  const [since, setSince] = useState(() => toLocal(new Date().toISOString()));
  const [until, setUntil] = useState('');
  const [cause, setCause] = useState('');
  const [remedy, setRemedy] = useState('');
  const [toldBy, setToldBy] = useState('');
  const fields = { machineId: `${id}-machine`, startedAt: `${id}-since`, endedAt: `${id}-until`, cause: `${id}-cause`, remedy: `${id}-remedy`, reportedBy: `${id}-told` };
  const [atStart, atEnd] = [useMetersShown(machineId), useMetersShown(machineId)];
  const { errors, busy, submit } = useSending({ send: api.reportOutage, fields, elsewhere: (place, message) => ({ fieldId: (place.startsWith('#/metersAtEnd') ? atEnd : atStart).placeOf(place), message }), changes: changesOf(api), onDone: onClose });
  const [startedAt, endedAt] = [toInstant(since), toInstant(until)];
  const isOver = until !== '';
  const send = () =>
    submit(
      { machineId, startedAt: startedAt ?? '', cause: cause.trim(), ...(isOver ? { endedAt: endedAt ?? '', remedy: remedy.trim() } : {}), ...(toldBy === '' ? {} : { reportedBy: toldBy }), ...(atStart.entered === null ? {} : { metersAtStart: atStart.entered }), ...(isOver && atEnd.entered !== null ? { metersAtEnd: atEnd.entered } : {}) },
      [
        unless(machineId !== '', fields.machineId, text.machineMissing),
        unless(startedAt !== undefined, fields.startedAt, say.sinceMissing),
        unless(cause.trim().length >= 3, fields.cause, text.causeMissing),
        unless(!isOver || endedAt !== undefined, fields.endedAt, say.untilMissing),
        unless(!isOver || remedy.trim().length >= 3, fields.remedy, text.remedyMissing),
        ...atStart.wrong(),
        ...(isOver ? atEnd.wrong() : []),
      ],
    );
  return (
    <FormDialog title={say.report} lead={say.reportLead} errors={errors} busy={busy} action={say.report} onSubmit={send} onClose={onClose}>
      <MachineField id={fields.machineId} value={machineId} error={errorAt(errors, fields.machineId)} choice={{ machines: machines.data ?? [], isLoading: machines.isLoading }} onValue={setMachineId} />
      <Field id={fields.startedAt} type="datetime-local" label={say.since} error={errorAt(errors, fields.startedAt)} value={since} onValue={setSince} />
      <Field id={fields.cause} label={text.cause} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.cause)} value={cause} onValue={setCause} />
      {atStart.fields({ title: say.metersAtStart, hint: words.machines.places.metersHint, errors, asksTime: false })}
      <Field id={fields.endedAt} type="datetime-local" label={say.until} hint={say.untilHint} error={errorAt(errors, fields.endedAt)} value={until} onValue={setUntil} />
      {isOver ? <Field id={fields.remedy} label={text.remedy} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.remedy)} value={remedy} onValue={setRemedy} /> : null}
      {isOver ? atEnd.fields({ title: say.metersAtEnd, hint: words.machines.places.metersHint, errors, asksTime: false }) : null}
      {may('person.read') ? (
        <SelectField id={fields.reportedBy} label={say.toldBy} value={toldBy} none={say.nobody} isLoading={everybody.isLoading} error={errorAt(errors, fields.reportedBy)} onValue={setToldBy} options={(everybody.data ?? []).map((person) => ({ value: person.id, text: person.name }))} />
      ) : null}
    </FormDialog>
  );
}

/** The machine works again. */
export function EndOutage({ outage, onClose }: { readonly outage: Outage; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [until, setUntil] = useState(() => toLocal(new Date().toISOString()));
  const [remedy, setRemedy] = useState('');
  const fields = { endedAt: `${id}-until`, remedy: `${id}-remedy` };
  const meters = useMetersShown(outage.machineId);
  const { errors, busy, submit } = useSending({ send: api.endOutage, fields, elsewhere: (place, message) => ({ fieldId: meters.placeOf(place), message }), changes: changesOf(api), onDone: onClose });
  const endedAt = toInstant(until);
  return (
    <FormDialog
      title={text.recordTitle(outage.machineTag)} lead={text.recordLead(formatInstant(outage.startedAt, locale), null)} errors={errors} busy={busy} action={text.end} onClose={onClose}
      onSubmit={() => submit({ id: outage.id, endedAt: endedAt ?? '', remedy: remedy.trim(), ...(meters.entered === null ? {} : { meters: meters.entered }) }, [unless(endedAt !== undefined, fields.endedAt, say.untilMissing), unless(remedy.trim().length >= 3, fields.remedy, text.remedyMissing), ...meters.wrong()])}
    >
      <Field id={fields.endedAt} type="datetime-local" label={say.untilWhen} error={errorAt(errors, fields.endedAt)} value={until} onValue={setUntil} />
      <Field id={fields.remedy} label={text.remedy} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.remedy)} value={remedy} onValue={setRemedy} />
      {meters.fields({ title: say.metersAtEnd, hint: words.machines.places.metersHint, errors, asksTime: false })}
    </FormDialog>
  );
}
