import type { TenantTransaction } from '#database/tenant';
import type { Reading } from '#domain/meters/meter';
import { reportedCash } from '#domain/rounds/reported';
import { selectMeters } from '../meter/meter.sql';
import { groupBy, toMeter } from '../meter/to-board';
import { selectSinceEmptied } from './machine-report.sql';

/** Cash in a box, in minor units, at the moment at which the first of its meters reported last. */
export type CashNow = { readonly minor: bigint; readonly at: Date };

/** The cash in boxes whose machines report, by placement; boxes about which the reports do not say it are left out. `knownAt`: only what had been received by then. Two statements. */
export async function cashNow(tx: TenantTransaction, query: { readonly placementIds: readonly string[]; readonly now: Date; readonly knownAt?: Date }): Promise<ReadonlyMap<string, CashNow>> {
  const rows = await selectSinceEmptied(tx, { ...query, knownAt: query.knownAt ?? query.now });
  if (rows.length === 0) return new Map();
  const meters = new Map((await selectMeters(tx, [...new Set(rows.map((row) => row.machine_id))])).map((meter) => [meter.id, meter]));
  const byPlacement = groupBy(rows, (row) => row.placement_id);
  return new Map(
    [...byPlacement].flatMap(([placementId, ofBox]): [string, CashNow][] => {
      const since = ofBox.flatMap((row) => {
        const meter = meters.get(row.meter_id);
        if (meter === undefined) return [];
        const emptied = row.emptied_value === null ? null : reading(row.emptied_at, row.emptied_value);
        const latest = row.latest_at === null || row.latest_value === null ? null : reading(row.latest_at, row.latest_value);
        const parting = row.parting.map(({ atMs, value, phase }) => ({ ...reading(new Date(atMs), BigInt(value)), phase }));
        return [{ ...toMeter(meter), emptied, latest, parting }];
      });
      const minor = reportedCash(since);
      const moments = ofBox.flatMap((row) => row.latest_at?.getTime() ?? []);
      return minor === null || moments.length === 0 ? [] : [[placementId, { minor, at: new Date(Math.min(...moments)) }]];
    }),
  );
}

/** A report as a reading of a meter. */
export function reading(at: Date, value: bigint): Reading {
  return { id: at.toISOString(), atMs: at.getTime(), phase: 'only', value, confirmed: false, passedEnd: false, collectionId: null, placementId: null };
}
