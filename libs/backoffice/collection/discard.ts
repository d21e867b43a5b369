import type { Collection, DiscardCollection } from '#contracts/collection';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockMachines } from '../meter/meter.sql';
import { perform } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { reopenClaims } from '../refund-claim/take-over.sql';
import { assessCollections } from '../variance/assess';
import { followingMeters } from '../variance/follow-meters';
import { lockCollections, selectCollection } from './collection.sql';
import { markDiscarded, selectBookedElsewhere, selectReadMachines, selectRecorders, withdrawReadings, type ReadMachine } from './discard.sql';
import { readBackFor } from './to-collection';

/**
 * Discards a collection that was entered by mistake, with all that was entered for it: none of it counts any more, and all of
 * it stays legible. Somebody who had no hand in it does so, as with every correction (25 CFR 543.17(g)(12): a correction leaves
 * the original legible, and takes two people). Whoever was shown nothing while it waited is shown nothing until the site is
 * counted anew.
 */
export async function discardCollection(deps: Backoffice, caller: Caller, command: { readonly id: string } & DiscardCollection): Promise<Outcome<Collection>> {
  const { id, reason } = command;
  return perform(deps, caller, 'collection.discard', async (unit) => {
    const { tx, now, refusal } = unit;
    const [locked] = await lockCollections(tx, [id]);
    const row = locked === undefined ? null : await selectCollection(tx, id);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id });
    if (refusedHere !== null) return refusedHere;
    const booked = await refusedWhileBooked(tx, id);
    if (booked !== null) return booked;
    const alone = await isDoneAlone(tx, { recordedBy: await selectRecorders(tx, id), now, detail: 'You entered some of it, collected or counted there: somebody else discards it.' });
    if (!alone.ok) return alone;
    const machines = await selectReadMachines(tx, id);
    await lockMachines(tx, machines.map(({ machine_id: machineId }) => machineId));
    const followed = await withdrawing(tx, machines, { from: row.happened_at, sourceId: id, reason, now, newId: deps.newId });
    if (!followed.ok) return followed;
    await markDiscarded(tx, { id, reason, now });
    await reopenClaims(tx, id);
    // What waited for its count waits no more.
    await assessCollections(tx, { collectionIds: [id], now, newId: deps.newId });
    if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'collection-discard', now });
    return readBackFor(unit, caller, id);
  });
}

async function refusedWhileBooked(tx: TenantTransaction, id: string): Promise<Outcome<never> | null> {
  const { funds, machines } = await selectBookedElsewhere(tx, id);
  if (funds.length > 0) return refused('wrong-state', { detail: `${funds.join(', ')} was filled out of these boxes: take that back first.` });
  if (machines.length > 0) return refused('wrong-state', { detail: `Card takings of ${machines.join(', ')} are reported with this collection: correct them to nothing first.` });
  return null;
}

type Withdrawing = { readonly from: Date; readonly sourceId: string; readonly reason: string; readonly now: Date; readonly newId: () => string };

/** Withdraws the readings machine by machine; what later counts were compared with is computed again. */
async function withdrawing(tx: TenantTransaction, machines: readonly ReadMachine[], how: Withdrawing): Promise<Outcome<null>> {
  for (const { machine_id: machineId, reading_ids: ids } of machines) {
    const followed = await followingMeters(tx, { machineId, ...how }, async () => {
      await withdrawReadings(tx, ids.map((id) => ({ id, withdrawnById: how.newId() })), how);
      return done(null);
    });
    if (!followed.ok) return followed;
  }
  return done(null);
}
