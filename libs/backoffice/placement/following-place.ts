import type { Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { lockMachine } from '../machine/machine.sql';
import { followingMeters } from '../variance/follow-meters';
import { selectPlacement } from './placement.sql';

type Change = { readonly placementId: string; readonly day: string; readonly now: Date; readonly newId: () => string };

const DAY_MS = 24 * 60 * 60 * 1000;

/**
 * Runs work that changes from a day on where a machine stood: what its meters counted may belong to another collection
 * afterwards. Holds the machine.
 */
export async function followingPlace<Value>(tx: TenantTransaction, change: Change, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  const known = await selectPlacement(tx, change.placementId);
  return known === null ? work() : followingPlaceOf(tx, { ...change, machineId: known.machine_id }, work);
}

/** The same for a placement that the work makes: of the machine that is named. */
export async function followingPlaceOf<Value>(tx: TenantTransaction, { machineId, placementId, day, now, newId }: Change & { readonly machineId: string }, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  await lockMachine(tx, machineId);
  // A day begins before midnight in Greenwich for sites to the east of it.
  const from = new Date(Date.parse(`${day}T00:00:00Z`) - DAY_MS);
  return followingMeters(tx, { machineId, from, sourceId: placementId, now, newId }, work);
}
