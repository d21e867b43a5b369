import type { TenantTransaction } from '#database/tenant';
import { staysOf, type Stay } from '#domain/meters/stays';
import { groupBy } from './to-board';

type PlacementRow = {
  id: string;
  machine_id: string;
  site_id: string;
  placed_day: Date;
  placed_read: Date[] | null;
  removed_day: Date | null;
  removed_read: Date[] | null;
  last_collection_id: string | null;
  last_emptied_at: Date | null;
};

/** Moments at which meters of a placement `p` were read on one of its days, as it was placed or taken away. */
const readOn = (day: string, occasion: 'placement' | 'removal'): string =>
  `(SELECT array_agg(DISTINCT r.happened_at ORDER BY r.happened_at) FROM meter_reading r
     WHERE r.tenant_id = $1 AND r.machine_id = p.machine_id AND r.occasion = '${occasion}' AND r.value IS NOT NULL
       AND r.happened_at >= ${day}::timestamp AT TIME ZONE s.time_zone AND r.happened_at < (${day} + 1)::timestamp AT TIME ZONE s.time_zone
       AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id))`;

/** The stays of machines at their sites, in their order, see {@link staysOf}. */
export async function selectStays(tx: TenantTransaction, machineIds: readonly string[]): Promise<ReadonlyMap<string, readonly Stay[]>> {
  const { rows } = await tx.sql<PlacementRow>(
    `SELECT p.id, p.machine_id, p.site_id, p.placed_on::timestamp AT TIME ZONE s.time_zone AS placed_day, ${readOn('p.placed_on', 'placement')} AS placed_read,
            p.removed_on::timestamp AT TIME ZONE s.time_zone AS removed_day, ${readOn('p.removed_on', 'removal')} AS removed_read,
            emptied.id AS last_collection_id, emptied.happened_at AS last_emptied_at
       FROM placement p
       JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
       LEFT JOIN LATERAL (
         SELECT c.id, c.happened_at FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id AND c.state <> 'discarded'
          WHERE p.removed_on IS NOT NULL AND b.tenant_id = $1 AND b.placement_id = p.id ORDER BY c.happened_at DESC, c.id LIMIT 1) emptied ON true
      WHERE p.tenant_id = $1 AND p.machine_id = ANY ($2::uuid[])
      ORDER BY p.machine_id, p.placed_on, p.id`,
    [tx.tenantId, machineIds],
  );
  return new Map([...groupBy(rows, (row) => row.machine_id)].map(([machineId, own]) => [machineId, staysOf(own.map(toDays))]));
}

function toDays(row: PlacementRow): Parameters<typeof staysOf>[0][number] {
  const { last_collection_id: collectionId, last_emptied_at: at } = row;
  return {
    id: row.id,
    siteId: row.site_id,
    placedDayMs: row.placed_day.getTime(),
    placedReadMs: (row.placed_read ?? []).map((each) => each.getTime()),
    removedDayMs: row.removed_day?.getTime() ?? null,
    removedReadMs: (row.removed_read ?? []).map((each) => each.getTime()),
    lastEmptied: collectionId === null || at === null ? null : { collectionId, atMs: at.getTime() },
  };
}
