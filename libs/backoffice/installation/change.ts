import type { ChangeInstallation, Installation } from '#contracts/installation';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachine } from '../machine/machine.sql';
import { perform } from '../perform';
import { checkDays, otherGame } from './create';
import { selectInstallation, selectOverlap, updateInstallation } from './installation.sql';
import { installationConstraints, toInstallation } from './to-installation';

/** Corrects the days of an installation. */
export async function changeInstallation(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeInstallation },
): Promise<Outcome<Installation>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'installation.change',
    async ({ tx }) => {
      const known = await selectInstallation(tx, id);
      if (known === null) return refused('not-found');
      const machine = await lockMachine(tx, known.machine_id);
      const before = await selectInstallation(tx, id);
      if (before === null || machine === null) throw new Error(`installation ${id} is gone`);
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const installedOn = change.installedOn ?? before.installed_on;
      const removedOn = change.removedOn === undefined ? before.removed_on : change.removedOn;
      const wrong = checkDays({ installedOn, removedOn, machine, fields: { installedOn: 'installedOn', removedOn: 'removedOn' } });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const other = await selectOverlap(tx, { machineId: before.machine_id, installedOn, removedOn, exceptId: id });
      if (other !== null) {
        return refusedFields('invalid-command', [otherGame({ other, field: installedOn === before.installed_on ? 'removedOn' : 'installedOn' })]);
      }
      await updateInstallation(tx, { id, installedOn, removedOn });
      const after = await selectInstallation(tx, id);
      if (after === null) throw new Error(`installation ${id} is gone`);
      return done(toInstallation(after));
    },
    { constraints: installationConstraints },
  );
}
