import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { ChangePlacement, Placement } from '#contracts/placement';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachine } from '../machine/machine.sql';
import { perform } from '../perform';
import { shareSite } from '../site/site.sql';
import { checkCounts, checkDays, standsElsewhere } from './check-days';
import { followingPlace } from './following-place';
import { lockPlacement, selectCountedDays, selectOverlap, selectPlacement, updatePlacement } from './placement.sql';
import { placementConstraints, toPlacement } from './to-placement';

const fields = { placedOn: 'placedOn', removedOn: 'removedOn' };

/**
 * Corrects the days of a placement. Its first day decides which days the first count covers, so that it stays once a
 * box was counted there.
 */
export async function changePlacement(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangePlacement },
): Promise<Outcome<Placement>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'placement.change',
    async ({ tx, now }) => {
      const known = await selectPlacement(tx, id);
      if (known === null) return refused('not-found');
      const machine = await lockMachine(tx, known.machine_id);
      const site = await shareSite(tx, known.site_id);
      await lockPlacement(tx, id);
      const before = await selectPlacement(tx, id);
      if (before === null || machine === null || site === null) throw new Error(`placement ${id} is gone`);
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');

      const placedOn = change.placedOn ?? before.placed_on;
      const removedOn = change.removedOn === undefined ? before.removed_on : change.removedOn;
      const counted = await selectCountedDays(tx, id);
      const wrong = [...checkDays({ placedOn, removedOn, allowed: { machine, site }, fields }), ...checkCounts({ placedOn, removedOn, counted, fields })];
      if (placedOn !== before.placed_on && counted.first !== null) {
        wrong.push({ path: ['placedOn'], code: 'counted-already', message: `Its box was counted there on ${counted.first}, for the days since ${before.placed_on}.` });
      }
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const other = await selectOverlap(tx, { machineId: before.machine_id, placedOn, removedOn, exceptId: id });
      if (other !== null) return refusedFields('invalid-command', [standsElsewhere({ other, field: placedOn === before.placed_on ? 'removedOn' : 'placedOn' })]);
      const earliest = placedOn < before.placed_on ? placedOn : before.placed_on;
      return followingPlace(tx, { placementId: id, day: earliest, now, newId: deps.newId }, async () => {
        await updatePlacement(tx, { id, placedOn, removedOn });
        const after = await selectPlacement(tx, id);
        if (after === null) throw new Error(`placement ${id} is gone`);
        return done(toPlacement(after));
      });
    },
    { constraints: placementConstraints },
  );
}
