import { done, type Outcome } from '#contracts/outcome';
import type { MovePlacement, PlacementMove } from '#contracts/placement';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { writeAtOccasion } from '../meter/at-occasion';
import { readingConstraints } from '../meter/reading-constraints';
import { recordingTries } from '../meter/write-readings';
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
  const { placementId, siteId, movedOn, metersAtRemoval, metersAtPlacement } = command;
  return perform(
    deps,
    caller,
    'placement.move',
    async (unit) => {
      const { tx, now } = unit;
      return recordingTries(unit, deps.newId, (tries) =>
        followingPlace(tx, { placementId, day: movedOn, now, newId: deps.newId }, async () => {
          const ended = await remove(tx, { id: placementId, removedOn: movedOn, field: 'movedOn' });
          if (!ended.ok) return ended;
          const { machine_id: machineId, time_zone: timeZone } = ended.value;
          const begun = await place(tx, { id: command.id ?? deps.newId(), machineId, siteId, placedOn: movedOn, removedOn: null, now, fields: { placedOn: 'movedOn', removedOn: 'movedOn' } });
          if (!begun.ok) return begun;
          const common = { machineId, tries, now, newId: deps.newId };
          const left = await writeAtOccasion(tx, { ...common, occasion: 'removal', read: metersAtRemoval, field: 'metersAtRemoval', when: { day: movedOn, timeZone } });
          if (!left.ok) return left;
          const came = await writeAtOccasion(tx, { ...common, occasion: 'placement', read: metersAtPlacement, field: 'metersAtPlacement', when: { day: movedOn, timeZone: begun.value.time_zone } });
          return came.ok ? done({ ended: toPlacement(ended.value), begun: toPlacement(begun.value) }) : came;
        }),
      );
    },
    { constraints: { ...readingConstraints(['metersAtRemoval']), ...placementConstraints } },
  );
}
