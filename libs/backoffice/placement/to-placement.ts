import type { Placement } from '#contracts/placement';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { PlacementRow } from './placement.sql';

/** A stored placement as the API shows it. */
export function toPlacement(row: PlacementRow): Placement {
  return {
    id: row.id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    siteId: row.site_id,
    siteCode: row.site_code,
    placedOn: row.placed_on,
    removedOn: row.removed_on,
    revision: row.revision,
  };
}

export const placementConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  placement_pkey: taken(['id'], 'a placement with this id'),
  placement_one_site_at_a_time: fieldFailure('invalid-command', {
    path: ['placedOn'],
    code: 'stands-elsewhere',
    message: 'The machine stands at another site on one of these days.',
  }),
};
