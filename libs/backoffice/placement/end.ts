import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { EndPlacement, Placement } from '#contracts/placement';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachine } from '../machine/machine.sql';
import { writeAtOccasion } from '../meter/at-occasion';
import { readingConstraints } from '../meter/reading-constraints';
import { recordingTries } from '../meter/write-readings';
import { perform } from '../perform';
import { checkCounts } from './check-days';
import { followingPlace } from './following-place';
import { lockPlacement, selectCountedDays, selectPlacement, updatePlacement, type PlacementRow } from './placement.sql';
import { placementConstraints, toPlacement } from './to-placement';

/** Takes a machine away from its site. The removal count of that day still belongs to this placement. */
export async function endPlacement(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string } & EndPlacement,
): Promise<Outcome<Placement>> {
  return perform(
    deps,
    caller,
    'placement.end',
    async (unit) => {
      const { tx, now } = unit;
      const { id, removedOn, meters: read } = command;
      return recordingTries(unit, deps.newId, (tries) =>
        followingPlace(tx, { placementId: id, day: removedOn, now, newId: deps.newId }, async () => {
          const ended = await remove(tx, { id, removedOn, field: 'removedOn' });
          if (!ended.ok) return ended;
          const { machine_id: machineId, time_zone: timeZone } = ended.value;
          const written = await writeAtOccasion(tx, { machineId, occasion: 'removal', read, field: 'meters', when: { day: removedOn, timeZone }, tries, now, newId: deps.newId });
          return written.ok ? done(toPlacement(ended.value)) : written;
        }),
      );
    },
    { constraints: { ...readingConstraints(['meters']), ...placementConstraints } },
  );
}

/** Ends a placement that has no end yet; `field` names the day as the caller's request does. Holds the machine from then on. */
export async function remove(tx: TenantTransaction, removal: { id: string; removedOn: string; field: string }): Promise<Outcome<PlacementRow>> {
  const { id, removedOn, field } = removal;
  const known = await selectPlacement(tx, id);
  if (known === null) return refused('not-found');
  await lockMachine(tx, known.machine_id);
  await lockPlacement(tx, id);
  const before = await selectPlacement(tx, id);
  if (before === null) throw new Error(`placement ${id} is gone`);
  if (before.removed_on !== null) return refused('wrong-state', { detail: `The machine was removed on ${before.removed_on}.` });
  if (removedOn <= before.placed_on) {
    return refusedFields('invalid-command', [
      { path: [field], code: 'not-after-placing', message: `A machine is removed after the day it was placed, which is ${before.placed_on}.` },
    ]);
  }
  const counted = await selectCountedDays(tx, id);
  const wrong = checkCounts({ placedOn: before.placed_on, removedOn, counted, fields: { placedOn: field, removedOn: field } });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  await updatePlacement(tx, { id, placedOn: before.placed_on, removedOn });
  const after = await selectPlacement(tx, id);
  if (after === null) throw new Error(`placement ${id} is gone`);
  return done(after);
}
