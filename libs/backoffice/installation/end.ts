import type { EndInstallation, Installation } from '#contracts/installation';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachine } from '../machine/machine.sql';
import { readingConstraints } from '../meter/reading-constraints';
import { perform } from '../perform';
import { selectInstallation, updateInstallation, type InstallationRow } from './installation.sql';
import { readingAround } from './reading-around';
import { installationConstraints, toInstallation } from './to-installation';

/** Takes a game out of its machine. */
export async function endInstallation(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string } & EndInstallation,
): Promise<Outcome<Installation>> {
  return perform(
    deps,
    caller,
    'installation.end',
    async (unit) => {
      const { tx } = unit;
      const { id, removedOn: day, meters } = command;
      const machineId = (await selectInstallation(tx, id))?.machine_id;
      return readingAround(unit, { machineId, day, meters, newId: deps.newId }, async () => {
        const ended = await takeOut(tx, { id, removedOn: day, field: 'removedOn' });
        return ended.ok ? done(toInstallation(ended.value)) : ended;
      });
    },
    { constraints: { ...readingConstraints(['meters']), ...installationConstraints } },
  );
}

/** Ends an installation that has no end yet; `field` names the day as the caller's request does. Holds the machine from then on. */
export async function takeOut(tx: TenantTransaction, removal: { id: string; removedOn: string; field: string }): Promise<Outcome<InstallationRow>> {
  const { id, removedOn, field } = removal;
  const known = await selectInstallation(tx, id);
  if (known === null) return refused('not-found');
  await lockMachine(tx, known.machine_id);
  const before = await selectInstallation(tx, id);
  if (before === null) throw new Error(`installation ${id} is gone`);
  if (before.removed_on !== null) return refused('wrong-state', { detail: `The game was taken out on ${before.removed_on}.` });
  if (removedOn <= before.installed_on) {
    return refusedFields('invalid-command', [
      { path: [field], code: 'not-after-installing', message: `A game is taken out after the day it was installed, which is ${before.installed_on}.` },
    ]);
  }
  await updateInstallation(tx, { id, installedOn: before.installed_on, removedOn });
  const after = await selectInstallation(tx, id);
  if (after === null) throw new Error(`installation ${id} is gone`);
  return done(after);
}
