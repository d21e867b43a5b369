import type { InstallationReplacement, ReplaceInstallation } from '#contracts/installation';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { readingConstraints } from '../meter/reading-constraints';
import { perform } from '../perform';
import { install } from './create';
import { takeOut } from './end';
import { selectInstallation } from './installation.sql';
import { readingAround } from './reading-around';
import { installationConstraints, toInstallation } from './to-installation';

/** Changes the game in a machine on one day: the old one goes out and the new one comes in, or neither. */
export async function replaceInstallation(
  deps: Backoffice,
  caller: Caller,
  command: { readonly installationId: string } & ReplaceInstallation,
): Promise<Outcome<InstallationReplacement>> {
  const { installationId, gameId, replacedOn, meters } = command;
  return perform(
    deps,
    caller,
    'installation.replace',
    async (unit) => {
      const { tx, now } = unit;
      const id = command.id ?? deps.newId();
      const machineId = (await selectInstallation(tx, installationId))?.machine_id;
      return readingAround(unit, { machineId, day: replacedOn, meters, sourceId: id, newId: deps.newId }, async () => {
        const ended = await takeOut(tx, { id: installationId, removedOn: replacedOn, field: 'replacedOn' });
        if (!ended.ok) return ended;
        const begun = await install(tx, {
          id,
          machineId: ended.value.machine_id,
          gameId,
          installedOn: replacedOn,
          removedOn: null,
          now,
          fields: { installedOn: 'replacedOn', removedOn: 'replacedOn' },
        });
        if (!begun.ok) return begun;
        return done({ ended: toInstallation(ended.value), begun: toInstallation(begun.value) });
      });
    },
    { constraints: { ...readingConstraints(['meters']), ...installationConstraints } },
  );
}
