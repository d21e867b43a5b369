import type { InstallationReplacement, ReplaceInstallation } from '#contracts/installation';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { install } from './create';
import { takeOut } from './end';
import { installationConstraints, toInstallation } from './to-installation';

/** Changes the game in a machine on one day: the old one goes out and the new one comes in, or neither. */
export async function replaceInstallation(
  deps: Backoffice,
  caller: Caller,
  command: { readonly installationId: string } & ReplaceInstallation,
): Promise<Outcome<InstallationReplacement>> {
  const { installationId, gameId, replacedOn } = command;
  return perform(
    deps,
    caller,
    'installation.replace',
    async ({ tx, now }) => {
      const ended = await takeOut(tx, { id: installationId, removedOn: replacedOn, field: 'replacedOn' });
      if (!ended.ok) return ended;
      const begun = await install(tx, {
        id: command.id ?? deps.newId(),
        machineId: ended.value.machine_id,
        gameId,
        installedOn: replacedOn,
        removedOn: null,
        now,
        fields: { installedOn: 'replacedOn', removedOn: 'replacedOn' },
      });
      if (!begun.ok) return begun;
      return done({ ended: toInstallation(ended.value), begun: toInstallation(begun.value) });
    },
    { constraints: installationConstraints },
  );
}
