import { done, type Outcome } from '#contracts/outcome';
import type { MovePlacement, PlacementMove } from '#contracts/placement';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { place } from './create';
import { remove } from './end';
import { followingPlace } from './following-place';
import { placementConstraints, toPlacement } from './to-placement';

/** Moves a machine to another site on one day: both placements change, or neither. */
export async function movePlacement(
  deps: Backoffice,
  caller: Caller,
  command: { readonly placementId: string } & MovePlacement,
): Promise<Outcome<PlacementMove>> {
  const { placementId, siteId, movedOn } = command;
  return perform(
    deps,
    caller,
    'placement.move',
    async ({ tx, now }) =>
      followingPlace(tx, { placementId, day: movedOn, now, newId: deps.newId }, async () => {
        const ended = await remove(tx, { id: placementId, removedOn: movedOn, field: 'movedOn' });
        if (!ended.ok) return ended;
        const begun = await place(tx, {
          id: command.id ?? deps.newId(),
          machineId: ended.value.machine_id,
          siteId,
          placedOn: movedOn,
          removedOn: null,
          now,
          fields: { placedOn: 'movedOn', removedOn: 'movedOn' },
        });
        if (!begun.ok) return begun;
        return done({ ended: toPlacement(ended.value), begun: toPlacement(begun.value) });
      }),
    { constraints: placementConstraints },
  );
}
