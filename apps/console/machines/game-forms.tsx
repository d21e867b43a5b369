import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Game, Installation, Machine } from '../api/shapes';
import { asCode, asKind, isCode, isKind } from '../format/code';
import { today } from '../keys/set-up/day-field';
import { codeFromName } from '../keys/set-up/numbers';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { orNull, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { words } from '../words/words';
import { gamesKey, gamesQuery, machinesKey } from './queries';

const text = words.machines.installed;
const changes = [machinesKey, gamesKey, ['earnings']];

interface OfMachine {
  readonly machine: Machine;
  readonly onClose: () => void;
}

/** The game in it: the first one, or another in the place of the one that runs there. */
export function InstallGame({ machine, running, onClose }: OfMachine & { readonly running: Installation | null }) {
  const { api } = useOperator();
  const games = useQuery(gamesQuery(api));
  const { field, errors, busy, submit } = useTypedForm({
    initial: { gameId: '', day: today() },
    missing: (now) => ({ gameId: now.gameId === '' && words.machines.gameMissing, day: now.day === '' && words.setUp.dayMissing }),
    body: (now) => now,
    send: async ({ gameId, day }) =>
      running === null ? void (await api.installGame({ machineId: machine.id, gameId, installedOn: day })) : void (await api.replaceGame({ id: running.id, gameId, replacedOn: day })),
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
    </FormDialog>
  );
}

/** Days that were entered wrongly. */
export function CorrectInstallation({ installation, onClose }: { readonly installation: Installation; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { installedOn: installation.installedOn, removedOn: installation.removedOn ?? '' },
    missing: (now) => ({ installedOn: now.installedOn === '' && words.setUp.dayMissing }),
    body: (now) => ({ id: installation.id, revision: installation.revision, body: { installedOn: now.installedOn, removedOn: orNull(now.removedOn) } }),
    send: api.correctInstallation,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(installation.gameTitle)} errors={errors} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('installedOn')} type="date" label={words.machines.installedOn} />
      <Field {...field('removedOn')} type="date" label={text.removedOn} hint={text.removedOnHint} />
    </FormDialog>
  );
}

export function TakeOutGame({ running, onClose }: { readonly running: Installation; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { removedOn: today() },
    missing: (now) => ({ removedOn: now.removedOn === '' && words.setUp.dayMissing }),
    body: (now) => ({ id: running.id, removedOn: now.removedOn }),
    send: api.takeOutGame,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.takeOutTitle(running.gameTitle)} errors={errors} busy={busy} action={text.takeOut} onSubmit={submit} onClose={onClose}>
      <Field {...field('removedOn')} type="date" label={text.takenOutOn} />
    </FormDialog>
  );
}

/** A game, new or under another name. */
export function EditGame({ game, onClose }: { readonly game: Game | null; readonly onClose: () => void }) {
  const { api } = useOperator();
  const [hasOwnCode, setOwnCode] = useState(game !== null);
  const { set, field, errors, busy, submit } = useTypedForm({
    initial: { title: game?.title ?? '', code: game?.code ?? '', kind: game === null ? '' : words.machineKind(game.kind) },
    missing: (now) => ({ title: now.title.trim() === '' && words.machines.games.titleMissing, code: !isCode({ typed: now.code }) && words.setUp.codeWrong, kind: !isKind(now.kind) && words.machines.kindWrong }),
    body: (now) => ({ title: now.title.trim(), code: asCode(now.code), kind: asKind(now.kind) }),
    send: async (body) => (game === null ? void (await api.createGame(body)) : void (await api.changeGame({ id: game.id, revision: game.revision, body }))),
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={game === null ? words.machines.games.addTitle : words.setUp.changeTitle(game.title)} errors={errors} busy={busy} action={game === null ? words.machines.games.add : words.setUp.save} onSubmit={submit} onClose={onClose}>
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
