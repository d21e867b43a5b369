import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { BoardOpening, Machine } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { toInstant, toLocal } from '../keys/moment';
import { PersonField } from '../keys/set-up/person-field';
import { peopleQuery } from '../keys/queries';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { TroubleNotice } from '../parts/trouble';
import { useTypedForm } from '../parts/use-typed-form';
import { readUnread, whys } from '../parts/why-not-read';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { openingsQuery } from './queries';
import { changesOf } from './reading-forms';

const text = words.machines.openings;
const shortestReason = 3;

/** When its board was opened or cleared unread, with who and why; nothing where it never was. */
export function Openings({ machine }: { readonly machine: Machine }) {
  const { api, may } = useOperator();
  const { data: openings = [], error, isError, refetch } = useQuery(openingsQuery(api, machine.id));
  const [wrong, setWrong] = useState<BoardOpening | null>(null);
  const mayTakeBack = may('board-opening.take-back');
  // Nothing there would read as: it was never opened.
  const trouble = isError ? <TroubleNotice error={error} onRetry={() => void refetch()} /> : null;
  if (openings.length === 0) return trouble;
  return (
    <>
      {trouble}
      <TitledTable
        id="openings" title={text.title} none="" columns={[words.machines.meters.when, text.what, ...(mayTakeBack ? [words.commands] : [])]}
        rows={openings.map((opening) => <OpeningRow key={opening.id} opening={opening} onWrong={mayTakeBack ? () => setWrong(opening) : null} />)}
      />
      {wrong === null ? null : <TakeBack machine={machine} opening={wrong} onClose={() => setWrong(null)} />}
    </>
  );
}

function OpeningRow({ opening, onWrong }: { readonly opening: BoardOpening; readonly onWrong: (() => void) | null }) {
  const { api, may } = useOperator();
  const nameOf = useActorName();
  const { openedAt, openedBy, why, note, takenBack, recordedBy } = opening;
  const { data: people = [] } = useQuery({ ...peopleQuery(api), enabled: openedBy !== null && may('person.read') });
  const who = people.find(({ id }) => id === openedBy)?.name;
  const when = formatInstant(openedAt, locale);
  return (
    <tr>
      <th scope="row">{when}</th>
      <td>
        {words.notRead.because(words.notRead.why[why], note)}
        {who === undefined ? null : <div className="soft small">{text.by(who)}</div>}
        <div className="soft small">{words.besideCounts.by(nameOf(recordedBy))}</div>
        {takenBack === null ? null : <div className="soft small">{text.takenBack(nameOf(takenBack.takenBackBy), takenBack.reason)}</div>}
      </td>
      {onWrong === null ? null : <td>{takenBack === null ? <OpenButton about={when} onClick={onWrong}>{text.takeBack}</OpenButton> : null}</td>}
    </tr>
  );
}

export function RecordOpening({ machine, onClose }: { readonly machine: Machine; readonly onClose: () => void }) {
  const { api, may } = useOperator();
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { openedAt: toLocal(new Date().toISOString()), openedBy: '', why: '', note: '' },
    missing: (now) => ({
      openedAt: toInstant(now.openedAt) === undefined && text.whenMissing,
      why: now.why === '' && words.notRead.whyMissing,
      note: now.why === 'other' && now.note.trim().length < shortestReason && words.notRead.noteMissing,
    }),
    body: (now) => ({
      machineId: machine.id,
      body: {
        openedAt: toInstant(now.openedAt) ?? '', ...(now.openedBy === '' ? {} : { openedBy: now.openedBy }),
        ...(readUnread({ why: whys.find((each) => each === now.why) ?? '', note: now.note }) ?? { why: 'other' as const }),
      },
    }),
    send: api.recordBoardOpening,
    changes: changesOf(machine.id),
    onDone: onClose,
  });
  return (
    <FormDialog title={text.recordTitle(machine.tag)} lead={text.lead} errors={errors} busy={busy} action={text.record} onSubmit={submit} onClose={onClose}>
      <Field {...field('openedAt')} type="datetime-local" label={text.openedAt} />
      {may('person.read') ? <PersonField {...field('openedBy')} label={text.openedBy} employer={null} none={text.nobodyKnows} /> : null}
      <SelectField {...field('why')} label={text.why} none={words.notRead.choose} options={whys.map((value) => ({ value, text: words.notRead.why[value] }))} />
      {typed.why === 'other' ? <Field {...field('note')} label={words.notRead.note} maxLength={1000} autoComplete="off" /> : null}
    </FormDialog>
  );
}

function TakeBack({ machine, opening, onClose }: { readonly machine: Machine; readonly opening: BoardOpening; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { reason: '' },
    missing: (now) => ({ reason: now.reason.trim().length < shortestReason && words.reasonMissing }),
    body: (now) => ({ id: opening.id, reason: now.reason.trim() }),
    send: api.takeBackBoardOpening,
    changes: changesOf(machine.id),
    onDone: onClose,
  });
  return (
    <FormDialog title={text.takeBackTitle(formatInstant(opening.openedAt, locale))} lead={text.takeBackLead} errors={errors} busy={busy} action={text.takeBack} onSubmit={submit} onClose={onClose}>
      <Field {...field('reason')} label={words.reason} maxLength={1000} autoComplete="off" />
    </FormDialog>
  );
}
