import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Game, Installation, Machine } from '../api/shapes';
import { asCode, asKind, isCode, isKind } from '../format/code';
import { today } from '../keys/set-up/day-field';
import { codeFromName } from '../keys/set-up/numbers';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { dayInWords, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { words } from '../words/words';
import { useMetersShown } from './meters-shown';
import { gamesKey, gamesQuery, machinesKey, meterTasksKey } from './queries';

const text = words.machines.installed;
const changes = [machinesKey, gamesKey, meterTasksKey, ['earnings'], ['variances']];

interface OfMachine {
  readonly machine: Machine;
  readonly onClose: () => void;
}

/** The game in it: the first one, or another in the place of the one that runs there. */
export function InstallGame({ machine, running, onClose }: OfMachine & { readonly running: Installation | null }) {
  const { api } = useOperator();
  const games = useQuery(gamesQuery(api));
  const meters = useMetersShown(machine.id, { isReadTwice: true });
  const { field, errors, busy, submit } = useTypedForm({
    initial: { gameId: '', day: today() },
    missing: (now) => ({ gameId: now.gameId === '' && words.machines.gameMissing, day: now.day === '' && words.setUp.dayMissing }),
    also: meters.wrong,
    elsewhere: (place, message) => ({ fieldId: meters.placeOf(place), message }),
    body: (now) => {
      const read = meters.enteredAround(now.day);
      return { ...now, read: read === null ? {} : { meters: read } };
    },
    send: async ({ gameId, day, read }, key) =>
      running === null ? void (await api.installGame({ machineId: machine.id, gameId, installedOn: day, ...read }, key)) : void (await api.replaceGame({ id: running.id, gameId, replacedOn: day, ...read }, key)),
    changes,
    onDone: onClose,
    named: { installedOn: 'day', replacedOn: 'day', machineId: 'day' },
  });
  const others = (games.data ?? []).filter(({ id }) => id !== running?.gameId);
  return (
    <FormDialog
      title={running === null ? text.installTitle(machine.tag) : text.replaceTitle(machine.tag)} lead={running === null ? undefined : text.replaceLead} errors={errors} busy={busy}
      action={running === null ? text.install : text.replace} onSubmit={submit} onClose={onClose}
    >
      <SelectField {...field('gameId')} label={text.game} none={words.setUp.choose} isLoading={games.isLoading} options={others.map(({ id, title, code }) => ({ value: id, text: `${title} (${code})` }))} />
      <Field {...field('day')} type="date" label={running === null ? words.machines.installedOn : text.replacedOn} />
      {meters.fields({ title: text.meters, hint: running === null ? text.metersFirst : words.machines.places.metersHint, errors, asksTime: true })}
    </FormDialog>
  );
}

/** Days that were entered wrongly. */
export function CorrectInstallation({ installation, onClose }: { readonly installation: Installation; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: installation,
      read: api.installation,
      enteredOf: (of) => ({ installedOn: of.installedOn, removedOn: of.removedOn ?? '' }),
      fields: { installedOn: { label: words.machines.installedOn, says: dayInWords }, removedOn: { label: text.removedOn, says: dayInWords } },
    },
    missing: (now) => ({ installedOn: now.installedOn === '' && words.setUp.dayMissing }),
    body: (now, { id, revision }) => ({ id, revision, body: { installedOn: now.installedOn, removedOn: orNull(now.removedOn) } }),
    send: api.correctInstallation,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(installation.gameTitle)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('installedOn')} type="date" label={words.machines.installedOn} />
      <Field {...field('removedOn')} type="date" label={text.removedOn} hint={text.removedOnHint} />
    </FormDialog>
  );
}

export function TakeOutGame({ running, onClose }: { readonly running: Installation; readonly onClose: () => void }) {
  const { api } = useOperator();
  const meters = useMetersShown(running.machineId, { isReadTwice: true });
  const { field, errors, busy, submit } = useTypedForm({
    initial: { removedOn: today() },
    missing: (now) => ({ removedOn: now.removedOn === '' && words.setUp.dayMissing }),
    also: meters.wrong,
    elsewhere: (place, message) => ({ fieldId: meters.placeOf(place), message }),
    body: (now) => {
      const read = meters.enteredAround(now.removedOn);
      return { id: running.id, removedOn: now.removedOn, ...(read === null ? {} : { meters: read }) };
    },
    send: api.takeOutGame,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.takeOutTitle(running.gameTitle)} errors={errors} busy={busy} action={text.takeOut} onSubmit={submit} onClose={onClose}>
      <Field {...field('removedOn')} type="date" label={text.takenOutOn} />
      {meters.fields({ title: text.meters, hint: words.machines.places.metersHint, errors, asksTime: true })}
    </FormDialog>
  );
}

const gameIsWhole = (now: { readonly title: string; readonly code: string; readonly kind: string }) => ({
  title: now.title.trim() === '' && words.machines.games.titleMissing,
  code: !isCode({ typed: now.code }) && words.setUp.codeWrong,
  kind: !isKind(now.kind) && words.machines.kindWrong,
});
const gameBody = (now: { readonly title: string; readonly code: string; readonly kind: string }) => ({ title: now.title.trim(), code: asCode(now.code), kind: asKind(now.kind) });

export function NewGame({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const [hasOwnCode, setOwnCode] = useState(false);
  const { set, field, errors, busy, submit } = useTypedForm({
    initial: { title: '', code: '', kind: '' }, missing: gameIsWhole, body: gameBody, send: api.createGame, changes, onDone: onClose,
  });
  return (
    <FormDialog title={words.machines.games.addTitle} errors={errors} busy={busy} action={words.machines.games.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('title')} label={words.machines.games.titleLabel} maxLength={200} autoComplete="off" onValue={(title) => set(hasOwnCode ? { title } : { title, code: codeFromName(title) })} />
      <CodeField
        {...field('code')}
        onValue={(code) => {
          setOwnCode(code !== '');
          set({ code });
        }}
      />
      <Field {...field('kind')} label={words.machines.kind} hint={words.machines.kindHint} maxLength={40} autoComplete="off" />
    </FormDialog>
  );
}

/** Under another name, code or kind. */
export function ChangeGame({ game, onClose }: { readonly game: Game; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: game,
      read: api.game,
      enteredOf: (of) => ({ title: of.title, code: of.code, kind: words.machineKind(of.kind) }),
      fields: { title: { label: words.machines.games.titleLabel }, code: { label: words.setUp.code }, kind: { label: words.machines.kind } },
    },
    missing: gameIsWhole,
    body: (now, { id, revision }) => ({ id, revision, body: gameBody(now) }),
    send: api.changeGame,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(game.title)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('title')} label={words.machines.games.titleLabel} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} />
      <Field {...field('kind')} label={words.machines.kind} hint={words.machines.kindHint} maxLength={40} autoComplete="off" />
    </FormDialog>
  );
}
