import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { CreatePlacement, Placement } from '#contracts/placement';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachine } from '../machine/machine.sql';
import { writeAtOccasion } from '../meter/at-occasion';
import { readingConstraints } from '../meter/reading-constraints';
import { recordingTries } from '../meter/write-readings';
import { perform } from '../perform';
import { shareSite } from '../site/site.sql';
import { checkDays, standsElsewhere, type DayFields, type DaysAllowed } from './check-days';
import { followingPlaceOf } from './following-place';
import { insertPlacement, selectOverlap, selectPlacement, type PlacementRow } from './placement.sql';
import { placementConstraints, toPlacement } from './to-placement';

/** Places a machine at a site. It is never in two places. */
export async function createPlacement(deps: Backoffice, caller: Caller, command: CreatePlacement): Promise<Outcome<Placement>> {
  return perform(
    deps,
    caller,
    'placement.create',
    async (unit) => {
      const { tx, now } = unit;
      const { machineId, placedOn, meters: read } = command;
      const id = command.id ?? deps.newId();
      // A place that is entered late parts what the meters counted otherwise than it was before.
      return recordingTries(unit, deps.newId, (tries) =>
        followingPlaceOf(tx, { machineId, day: placedOn, now, newId: deps.newId }, async () => {
          const placed = await place(tx, { ...command, id, now, fields: { placedOn: 'placedOn', removedOn: 'removedOn' } });
          if (!placed.ok) return placed;
          const written = await writeAtOccasion(tx, { machineId, occasion: 'placement', read, field: 'meters', when: { day: placed.value.placed_on, timeZone: placed.value.time_zone }, tries, now, newId: deps.newId });
          return written.ok ? done(toPlacement(placed.value)) : written;
        }),
      );
    },
    { constraints: { ...readingConstraints(['meters']), ...placementConstraints } },
  );
}

const unknownSite = { path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' };

type NewPlacement = { id: string; machineId: string; siteId: string; placedOn: string; removedOn: string | null; now: Date; fields: DayFields };

/** Checks and writes a placement; `fields` names the days as the caller's request does. */
export async function place(tx: TenantTransaction, placement: NewPlacement): Promise<Outcome<PlacementRow>> {
  const { id, machineId, placedOn, removedOn, fields } = placement;
  const machine = await lockMachine(tx, machineId);
  const site = await shareSite(tx, placement.siteId);
  if (machine === null || site === null) {
    return refusedFields('invalid-command', [
      ...(machine === null ? [{ path: ['machineId'], code: 'unknown', message: 'There is no machine with this id.' }] : []),
      ...(site === null ? [unknownSite] : []),
    ]);
  }
  const wrong = checkDays({ placedOn, removedOn, allowed: { machine, site }, fields });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  const other = await selectOverlap(tx, { machineId, placedOn, removedOn, exceptId: null });
  if (other !== null) return refusedFields('invalid-command', [standsElsewhere({ other, field: fields.placedOn })]);
  await insertPlacement(tx, placement);
  const row = await selectPlacement(tx, id);
  if (row === null) throw new Error(`placement ${id} was not stored`);
  return done(row);
}

/** The same for a machine that this transaction made: nobody else holds it, and it stands nowhere yet. */
export async function placeNewMachine(tx: TenantTransaction, placement: NewPlacement, machine: DaysAllowed['machine']): Promise<Outcome<null>> {
  const { placedOn, removedOn, fields } = placement;
  const site = await shareSite(tx, placement.siteId);
  if (site === null) return refusedFields('invalid-command', [unknownSite]);
  const wrong = checkDays({ placedOn, removedOn, allowed: { machine, site }, fields });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  await insertPlacement(tx, placement);
  return done(null);
}
