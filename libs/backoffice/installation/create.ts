import type { CreateInstallation, Installation } from '#contracts/installation';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectGame } from '../game/game.sql';
import { lockMachine, type MachineRow } from '../machine/machine.sql';
import { perform } from '../perform';
import { readingConstraints } from '../meter/reading-constraints';
import { insertInstallation, selectInstallation, selectOverlap, type InstallationRow } from './installation.sql';
import { readingAround } from './reading-around';
import { installationConstraints, toInstallation } from './to-installation';

/** What the caller calls the two days: a replacement has one day that ends and begins. */
export type DayFields = { readonly installedOn: string; readonly removedOn: string };

/** Installs a game in a machine. There is never more than one in it. */
export async function createInstallation(deps: Backoffice, caller: Caller, command: CreateInstallation): Promise<Outcome<Installation>> {
  return perform(
    deps,
    caller,
    'installation.create',
    async (unit) => {
      const { tx, now } = unit;
      const { machineId, installedOn: day, meters } = command;
      const id = command.id ?? deps.newId();
      const fields = { installedOn: 'installedOn', removedOn: 'removedOn' };
      return readingAround(unit, { machineId, day, meters, sourceId: id, newId: deps.newId }, async () => {
        const installed = await install(tx, { ...command, id, now, fields });
        return installed.ok ? done(toInstallation(installed.value)) : installed;
      });
    },
    { constraints: { ...readingConstraints(['meters']), ...installationConstraints } },
  );
}

const unknownGame = { path: ['gameId'], code: 'unknown', message: 'There is no game with this id.' };

type NewInstallation = { id: string; machineId: string; gameId: string; installedOn: string; removedOn: string | null; now: Date; fields: DayFields };

/** Checks and writes an installation; `fields` names the days as the caller's request does. */
export async function install(tx: TenantTransaction, installation: NewInstallation): Promise<Outcome<InstallationRow>> {
  const { id, machineId, installedOn, removedOn, fields } = installation;
  const machine = await lockMachine(tx, machineId);
  const game = await selectGame(tx, installation.gameId);
  if (machine === null || game === null) {
    return refusedFields('invalid-command', [
      ...(machine === null ? [{ path: ['machineId'], code: 'unknown', message: 'There is no machine with this id.' }] : []),
      ...(game === null ? [unknownGame] : []),
    ]);
  }
  const wrong = checkDays({ installedOn, removedOn, machine, fields });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  const other = await selectOverlap(tx, { machineId, installedOn, removedOn, exceptId: null });
  if (other !== null) return refusedFields('invalid-command', [otherGame({ other, field: fields.installedOn })]);
  await insertInstallation(tx, installation);
  const row = await selectInstallation(tx, id);
  if (row === null) throw new Error(`installation ${id} was not stored`);
  return done(row);
}

/** The same for a machine that this transaction made: nobody else holds it, and no game is in it yet. */
export async function installInNewMachine(tx: TenantTransaction, installation: NewInstallation, machine: MachineOfDays): Promise<Outcome<null>> {
  const { installedOn, removedOn, fields } = installation;
  if ((await selectGame(tx, installation.gameId)) === null) return refusedFields('invalid-command', [unknownGame]);
  const wrong = checkDays({ installedOn, removedOn, machine, fields });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  await insertInstallation(tx, installation);
  return done(null);
}

type MachineOfDays = Pick<MachineRow, 'tag' | 'acquired_on' | 'disposed_on'>;

/** Whether a game may be in the machine on these days, as far as acquisition and disposal say. */
export function checkDays(input: {
  readonly installedOn: string;
  readonly removedOn: string | null;
  readonly machine: MachineOfDays;
  readonly fields: DayFields;
}): WrongField[] {
  const { installedOn, removedOn, machine, fields } = input;
  const wrong: WrongField[] = [];
  if (installedOn < machine.acquired_on) {
    wrong.push({ path: [fields.installedOn], code: 'before-acquisition', message: `Machine ${machine.tag} was acquired on ${machine.acquired_on}.` });
  }
  if (machine.disposed_on !== null && installedOn >= machine.disposed_on) {
    wrong.push({ path: [fields.installedOn], code: 'after-disposal', message: `Machine ${machine.tag} was disposed of on ${machine.disposed_on}.` });
  }
  if (removedOn !== null && removedOn <= installedOn) {
    wrong.push({ path: [fields.removedOn], code: 'not-after-installing', message: `A game is taken out after the day it was installed, which is ${installedOn}.` });
  }
  return wrong;
}

/** Names the game that is in the machine already. */
export function otherGame(input: { readonly other: InstallationRow; readonly field: string }): WrongField {
  const { other, field } = input;
  const until = other.removed_on === null ? 'and was not taken out' : `until ${other.removed_on}`;
  return {
    path: [field],
    code: 'other-game',
    message: `Game ${other.game_code} is in machine ${other.machine_tag} since ${other.installed_on} ${until}.`,
  };
}
