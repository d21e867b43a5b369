import type { Installation } from '#contracts/installation';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { InstallationRow } from './installation.sql';

/** A stored installation as the API shows it. */
export function toInstallation(row: InstallationRow): Installation {
  return {
    id: row.id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    gameId: row.game_id,
    gameCode: row.game_code,
    gameTitle: row.game_title,
    installedOn: row.installed_on,
    removedOn: row.removed_on,
    revision: row.revision,
  };
}

export const installationConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  installation_pkey: taken(['id'], 'an installation with this id'),
  installation_one_game_at_a_time: fieldFailure('invalid-command', {
    path: ['installedOn'],
    code: 'other-game',
    message: 'There is another game in the machine on one of these days.',
  }),
};
