import { formatInstant } from '#contracts/format';
import type { MeterTasks, MeterTasksQuery } from '#contracts/meter-task';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectMissingReadings, selectUncountedRemovals } from './tasks.sql';

/** As many of each as somebody would work through. */
const MOST = 200;

/** Readings that were left out where meters are always read, and boxes that nobody counted as their machines left. */
export function listMeterTasks(deps: Backoffice, caller: Caller, query: MeterTasksQuery): Promise<Outcome<MeterTasks>> {
  return perform<MeterTasks>(deps, caller, 'meter.read', async ({ tx, now }) => {
    const { machineId = null } = query;
    const readings = await selectMissingReadings(tx, { machineId, limit: MOST + 1 });
    const removals = await selectUncountedRemovals(tx, { machineId, now, limit: MOST + 1 });
    return done({
      readings: readings.slice(0, MOST).map((row) => ({
        occasion: row.occasion,
        machineId: row.machine_id,
        machineTag: row.machine_tag,
        placementId: row.placement_id,
        outageId: row.outage_id,
        boardOpeningId: row.opening_id,
        siteCode: row.site_code,
        day: row.day,
        at: formatInstant(row.from_at),
        meters: [...row.meters],
      })),
      removals: removals.slice(0, MOST).map((row) => ({
        placementId: row.placement_id,
        machineId: row.machine_id,
        machineTag: row.machine_tag,
        siteId: row.site_id,
        siteCode: row.site_code,
        removedOn: row.removed_on,
        nextSiteCode: row.next_site_code,
      })),
      more: readings.length > MOST || removals.length > MOST,
    });
  });
}
