import type { TenantTransaction } from '#database/tenant';
import { staysOf, type Stay } from '#domain/meters/stays';
import { stands } from './reading.sql';
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

/**
 * SQL: whether a reading `r` of a board that came out on the day on which its machine left a site says how it left, by the order of what is known of that
 * day. It does where the machine went nowhere on that day, where its box was emptied at the site or a removal read no earlier, and where it was read no earlier as it came to the next
 * site. Else it may as well have come out there, and it is asked what the meters showed as the machine left. The arguments are SQL; names the tenant `$1`.
 */
export const outAsItLeft = ({ machineId, siteId, day }: { readonly machineId: string; readonly siteId: string; readonly day: string }): string => `(r.occasion = 'board-removed' AND (
    NOT EXISTS (SELECT FROM placement next WHERE next.tenant_id = $1 AND next.machine_id = ${machineId} AND next.placed_on = ${day})
    OR EXISTS (SELECT FROM meter_reading sign WHERE sign.tenant_id = $1 AND sign.machine_id = ${machineId} AND sign.occasion = 'placement' AND sign.happened_at >= r.happened_at AND ${stands('sign')}
                  AND sign.happened_at < (${day} + 1)::timestamp AT TIME ZONE (SELECT at.time_zone FROM site at WHERE at.tenant_id = $1 AND at.id = ${siteId}))
    OR EXISTS (SELECT FROM collection emptying JOIN box_count emptied ON emptied.tenant_id = $1 AND emptied.collection_id = emptying.id AND emptied.machine_id = ${machineId}
                WHERE emptying.tenant_id = $1 AND emptying.site_id = ${siteId} AND emptying.local_date = ${day} AND emptying.happened_at >= r.happened_at AND emptying.state <> 'discarded')))`;

/** Moments at which meters of a placement `p` were read on one of its days, as it was placed or taken away. */
const readOn = (day: string, occasion: 'placement' | 'removal'): string =>
  `(SELECT array_agg(DISTINCT r.happened_at ORDER BY r.happened_at) FROM meter_reading r
     WHERE r.tenant_id = $1 AND r.machine_id = p.machine_id AND r.occasion = '${occasion}' AND ${ofDay('r', day)})`;

const ofDay = (row: string, day: string): string =>
  `${row}.happened_at >= ${day}::timestamp AT TIME ZONE s.time_zone AND ${row}.happened_at < (${day} + 1)::timestamp AT TIME ZONE s.time_zone AND ${stands(row)}`;

/** Where nothing was read for the removal, when the last board came out as the machine left. */
const lastOut = `(SELECT array_agg(out.happened_at) FROM (SELECT max(r.happened_at) AS happened_at FROM meter_reading r
     WHERE r.tenant_id = $1 AND r.machine_id = p.machine_id AND ${ofDay('r', 'p.removed_on')} AND ${outAsItLeft({ machineId: 'p.machine_id', siteId: 'p.site_id', day: 'p.removed_on' })}) out WHERE out.happened_at IS NOT NULL)`;

/** The stays of machines at their sites, in their order, see {@link staysOf}. */
export async function selectStays(tx: TenantTransaction, machineIds: readonly string[]): Promise<ReadonlyMap<string, readonly Stay[]>> {
  const { rows } = await tx.sql<PlacementRow>(
    `SELECT p.id, p.machine_id, p.site_id, p.placed_on::timestamp AT TIME ZONE s.time_zone AS placed_day, ${readOn('p.placed_on', 'placement')} AS placed_read,
            p.removed_on::timestamp AT TIME ZONE s.time_zone AS removed_day, CASE WHEN p.removed_on IS NOT NULL THEN coalesce(${readOn('p.removed_on', 'removal')}, ${lastOut}) END AS removed_read,
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
