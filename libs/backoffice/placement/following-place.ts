import type { Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { lockMachine } from '../machine/machine.sql';
import { followingMeters } from '../variance/follow-meters';
import { selectPlacement } from './placement.sql';

const DAY_MS = 24 * 60 * 60 * 1000;

/**
 * Runs work that changes from a day on where a machine stood: what its meters counted may belong to another collection
 * afterwards. Holds the machine.
 */
export async function followingPlace<Value>(
  tx: TenantTransaction,
  { placementId, day, now, newId }: { readonly placementId: string; readonly day: string; readonly now: Date; readonly newId: () => string },
  work: () => Promise<Outcome<Value>>,
): Promise<Outcome<Value>> {
  const known = await selectPlacement(tx, placementId);
  if (known === null) return work();
  await lockMachine(tx, known.machine_id);
  // A day begins before midnight in Greenwich for sites to the east of it.
  const from = new Date(Date.parse(`${day}T00:00:00Z`) - DAY_MS);
  return followingMeters(tx, { machineId: known.machine_id, from, sourceId: placementId, now, newId }, work);
}
