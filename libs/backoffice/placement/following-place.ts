import type { Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { beforeDay } from '../collection/local-day';
import { lockMachine } from '../machine/machine.sql';
import { followingMeters } from '../variance/follow-meters';
import { selectPlacement } from './placement.sql';

type Change = { readonly day: LocalDate; readonly now: Date; readonly newId: () => string };

/**
 * Runs work that changes from a day on where a machine stood: what its meters counted may belong to another collection
 * afterwards. Holds the machine.
 */
export async function followingPlace<Value>(tx: TenantTransaction, { placementId, ...change }: Change & { readonly placementId: string }, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  const known = await selectPlacement(tx, placementId);
  return known === null ? work() : followingPlaceOf(tx, { ...change, machineId: known.machine_id }, work);
}

/** The same for a placement that the work makes: of the machine that is named. */
export async function followingPlaceOf<Value>(tx: TenantTransaction, { machineId, day, now, newId }: Change & { readonly machineId: string }, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  await lockMachine(tx, machineId);
  return followingMeters(tx, { machineId, from: beforeDay(day), now, newId }, work);
}
