import { useQuery } from '@tanstack/react-query';
import { useId, useRef, useState } from 'react';
import type { Machine } from '../api/shapes';
import { asCode, asKind, isCode, isKind } from '../format/code';
import { everySiteQuery } from '../keys/queries';
import { nextNumber } from '../keys/set-up/numbers';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { dayInWords, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { words } from '../words/words';
import { gamesQuery, machinesKey } from './queries';

const text = words.machines;

const changes = [machinesKey, ['sites'], ['keys'], ['games']];

interface NewMachineProps {
  /** Where it stands, if that is known from where the form was opened. */
  readonly siteId: string | null;
  readonly onClose: () => void;
}

/** One cabinet with its place and its game, in one step. A whole row of them is entered one after the other. */
export function NewMachine({ siteId, onClose }: NewMachineProps) {
  const [made, setMade] = useState<Machine | null>(null);
  // A new form for the next one: it begins with what the one before was.
  return <NewMachineForm key={made?.id ?? ''} before={made} siteId={siteId} onMade={setMade} onClose={onClose} />;
}

/** What was typed of the one before and holds for the next one as well is there already. */
function NewMachineForm({ before, siteId, onMade, onClose }: NewMachineProps & { readonly before: Machine | null; readonly onMade: (machine: Machine) => void }) {
  const { api } = useOperator();
  const sites = useQuery(everySiteQuery(api));
  const games = useQuery(gamesQuery(api));
  const isFirstOfMany = useRef(false);
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: {
      tag: before === null ? '' : nextNumber([before.tag]), kind: before === null ? '' : words.machineKind(before.kind), serialNumber: '', siteId: before?.placement?.siteId ?? siteId ?? '', since: before?.acquiredOn ?? '',
      gameId: '',
    },
    missing: (now) => ({
      tag: !isCode({ typed: now.tag }) && text.tagWrong,
      kind: !isKind(now.kind) && text.kindWrong,
      since: now.since === '' && words.setUp.dayMissing,
    }),
    body: (now) => ({
      tag: asCode(now.tag), kind: asKind(now.kind), serialNumber: orNull(now.serialNumber), acquiredOn: now.since,
      ...(now.siteId === '' ? {} : { placement: { siteId: now.siteId, placedOn: now.since } }),
      ...(now.gameId === '' ? {} : { installation: { gameId: now.gameId, installedOn: now.since } }),
    }),
    send: api.createMachine,
    changes,
    onDone: (machine) => (isFirstOfMany.current ? onMade(machine) : onClose()),
    named: { acquiredOn: 'since', placement: 'since', installation: 'gameId' },
  });
  const kinds = [...new Set((games.data ?? []).map(({ kind }) => words.machineKind(kind)))];
  const list = useId();
  const send = (isMore: boolean) => {
    isFirstOfMany.current = isMore;
    submit();
  };
  return (
    <FormDialog
      title={text.addTitle} lead={before === null ? undefined : text.added(before.tag)} errors={errors} busy={busy} action={text.add} onSubmit={() => send(false)} onClose={onClose}
      also={
        <button type="button" className="button" aria-disabled={busy} onClick={() => (busy ? undefined : send(true))}>
          {text.addAnother}
        </button>
      }
    >
      <CodeField {...field('tag')} label={text.tag} hint={text.tagHint} />
      <Field {...field('kind')} label={text.kind} hint={text.kindHint} maxLength={40} autoComplete="off" list={list} />
      <datalist id={list}>
        {kinds.map((kind) => (
          <option key={kind} value={kind} />
        ))}
      </datalist>
      <SelectField {...field('siteId')} label={text.where} none={text.shop} isLoading={sites.isLoading} options={(sites.data ?? []).filter(({ closedOn }) => closedOn === null).map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))} />
      <Field {...field('since')} type="date" label={typed.siteId === '' ? text.acquiredOn : text.placedOn} />
      {games.data === undefined || games.data.length === 0 ? null : (
        <SelectField {...field('gameId')} label={text.game} none={text.noGame} options={games.data.map(({ id, title, code }) => ({ value: id, text: `${title} (${code})` }))} />
      )}
      <Field {...field('serialNumber')} label={text.serial} hint={text.serialHint} maxLength={100} autoComplete="off" />
    </FormDialog>
  );
}

export function ChangeMachine({ machine, onClose }: { readonly machine: Machine; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: machine,
      read: api.machine,
      enteredOf: (of) => ({ tag: of.tag, kind: words.machineKind(of.kind), serialNumber: of.serialNumber ?? '', acquiredOn: of.acquiredOn, disposedOn: of.disposedOn ?? '' }),
      fields: {
        tag: { label: text.tag }, kind: { label: text.kind }, serialNumber: { label: text.serial }, acquiredOn: { label: text.acquiredOn, says: dayInWords }, disposedOn: { label: text.disposedOn, says: dayInWords },
      },
    },
    missing: (now) => ({
      tag: !isCode({ typed: now.tag }) && text.tagWrong,
      kind: !isKind(now.kind) && text.kindWrong,
      acquiredOn: now.acquiredOn === '' && words.setUp.dayMissing,
    }),
    body: (now, { id, revision }) => ({ id, revision, body: { tag: asCode(now.tag), kind: asKind(now.kind), serialNumber: orNull(now.serialNumber), acquiredOn: now.acquiredOn, disposedOn: orNull(now.disposedOn) } }),
    send: api.changeMachine,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(machine.tag)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <CodeField {...field('tag')} label={text.tag} hint={text.tagHint} />
      <Field {...field('kind')} label={text.kind} hint={text.kindHint} maxLength={40} autoComplete="off" />
      <Field {...field('serialNumber')} label={text.serial} hint={text.serialHint} maxLength={100} autoComplete="off" />
      <Field {...field('acquiredOn')} type="date" label={text.acquiredOn} />
      <Field {...field('disposedOn')} type="date" label={text.disposedOn} hint={text.disposedOnHint} />
    </FormDialog>
  );
}
