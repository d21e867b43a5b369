import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { baggedOf } from '../collection/emptied.sql';
import { opened } from '../collection/uncounted.sql';
import { standingValues } from './price.sql';
import { stands } from './reading.sql';
import { outAsItLeft } from './stay.sql';

export type MissingReadingsRow = {
  occasion: 'placement' | 'removal' | 'game-change' | 'price-change' | 'board-access' | 'out-of-service' | 'in-service';
  machine_id: string;
  machine_tag: string;
  placement_id: string | null;
  outage_id: string | null;
  opening_id: string | null;
  site_code: string | null;
  day: LocalDate | null;
  from_at: Date;
  meters: readonly { readonly meterId: string; readonly label: string }[];
};

/** Days on which a game went out, or came in where another had been before. A first game is no change. */
const gameChanges = `
      SELECT i.machine_id, i.removed_on AS day FROM installation i WHERE i.tenant_id = $1 AND i.removed_on IS NOT NULL
      UNION
      SELECT i.machine_id, i.installed_on FROM installation i
       WHERE i.tenant_id = $1 AND EXISTS (SELECT FROM installation earlier WHERE earlier.tenant_id = $1 AND earlier.machine_id = i.machine_id AND earlier.removed_on <= i.installed_on)`;

/** Moments at which meters are always read; readings in [from_at, until_at) serve. */
const occasions = `
  SELECT 'placement' AS occasion, p.machine_id, p.id AS placement_id, NULL::uuid AS outage_id, NULL::uuid AS opening_id, p.site_id, s.code AS site_code, p.placed_on AS day,
         p.placed_on::timestamp AT TIME ZONE s.time_zone AS from_at, (p.placed_on + 1)::timestamp AT TIME ZONE s.time_zone AS until_at
    FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id WHERE p.tenant_id = $1
  UNION ALL
  SELECT 'removal', p.machine_id, p.id, NULL, NULL, p.site_id, s.code, p.removed_on, p.removed_on::timestamp AT TIME ZONE s.time_zone, (p.removed_on + 1)::timestamp AT TIME ZONE s.time_zone
    FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id WHERE p.tenant_id = $1 AND p.removed_on IS NOT NULL
  UNION ALL
  SELECT 'game-change', g.machine_id, NULL, NULL, NULL, NULL, at_site.code, g.day, g.day::timestamp AT TIME ZONE zone.name, (g.day + 1)::timestamp AT TIME ZONE zone.name
    FROM (${gameChanges}) g
    JOIN operator ON operator.tenant_id = $1
    LEFT JOIN LATERAL (SELECT s.code, s.time_zone FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
                        WHERE p.tenant_id = $1 AND p.machine_id = g.machine_id AND daterange(p.placed_on, p.removed_on, '[)') @> g.day) at_site ON true
    CROSS JOIN LATERAL (SELECT coalesce(at_site.time_zone, operator.time_zone) AS name) zone
  UNION ALL
  SELECT 'price-change', p.machine_id, NULL, NULL, NULL, NULL, NULL, NULL, p.effective_at, p.effective_at + interval '1 millisecond'
    FROM (SELECT DISTINCT m.machine_id, v.effective_at FROM (${standingValues}) v JOIN meter m ON m.tenant_id = $1 AND m.id = v.meter_id JOIN counter_board k ON k.tenant_id = $1 AND k.id = m.board_id
           WHERE v.tenant_id = $1 AND NOT v.withdrawn AND v.effective_at > k.fitted_at) p
  UNION ALL
  SELECT 'board-access', o.machine_id, NULL, NULL, o.id, NULL, NULL, NULL, o.opened_at, o.opened_at + interval '1 millisecond' FROM board_opening o WHERE o.tenant_id = $1 AND o.taken_back_at IS NULL
  UNION ALL
  SELECT 'out-of-service', o.machine_id, NULL, o.id, NULL, NULL, NULL, NULL, o.started_at, coalesce(o.ended_at, 'infinity') FROM outage o WHERE o.tenant_id = $1 AND o.taken_back_at IS NULL
  UNION ALL
  SELECT 'in-service', o.machine_id, NULL, o.id, NULL, NULL, NULL, NULL, o.ended_at, o.ended_at + interval '1 day' FROM outage o WHERE o.tenant_id = $1 AND o.taken_back_at IS NULL AND o.ended_at IS NOT NULL`;

/**
 * Occasions at which meters were in the machine that have neither a reading nor a reason, the latest first. A board that was
 * fitted on that day has a reading of its own. What was read as a machine came to the next site, or is collected there, says
 * nothing of how it left the one before, nor does what was read as a board came out, where that may have been there; what was read as it left serves for where it came to on the same day.
 * A change of price parts what is played at the very moment: no other reading serves, and no reason, which would leave boxes compared with nothing; nor does one after the board was opened or cleared. A change of the game has its meters read before and after, which a single reading of that day does not say.
 */
export async function selectMissingReadings(tx: TenantTransaction, { machineId, limit }: { readonly machineId: string | null; readonly limit: number }): Promise<MissingReadingsRow[]> {
  const { rows } = await tx.sql<MissingReadingsRow>(
    `SELECT e.occasion, e.machine_id, machine.tag AS machine_tag, e.placement_id, e.outage_id, e.opening_id, e.site_code, e.day, e.from_at,
            jsonb_agg(jsonb_build_object('meterId', m.id, 'label', m.label) ORDER BY m.label) AS meters
       FROM (${occasions}) e
       JOIN machine ON machine.tenant_id = $1 AND machine.id = e.machine_id
       JOIN counter_board k ON k.tenant_id = $1 AND k.machine_id = e.machine_id AND k.fitted_at < e.from_at AND (k.removed_at IS NULL OR k.removed_at > e.from_at)
       JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id
      WHERE ($2::uuid IS NULL OR e.machine_id = $2)
        AND NOT EXISTS (
          SELECT FROM meter_reading r LEFT JOIN collection c ON c.tenant_id = $1 AND c.id = r.collection_id
           WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at >= e.from_at AND r.happened_at < e.until_at AND ${stands('r')}
             AND (e.occasion <> 'removal' OR r.occasion = 'removal' OR c.site_id = e.site_id OR ${outAsItLeft({ machineId: 'e.machine_id', siteId: 'e.site_id', day: 'e.day' })})
             AND (e.occasion <> 'game-change' OR r.occasion IN ('game-change', 'board-access', 'board-removed'))
             AND (e.occasion <> 'board-access' OR r.phase = 'after'))
        AND (e.occasion IN ('price-change', 'board-access') OR NOT EXISTS (SELECT FROM meter_not_read n WHERE n.tenant_id = $1 AND n.meter_id = m.id AND n.occasion = e.occasion AND n.happened_at >= e.from_at AND n.happened_at < e.until_at))
      GROUP BY e.occasion, e.machine_id, machine.tag, e.placement_id, e.outage_id, e.opening_id, e.site_code, e.day, e.from_at
      ORDER BY e.from_at DESC, machine.tag, e.occasion LIMIT $3`,
    [tx.tenantId, machineId, limit],
  );
  return rows;
}

export type UncountedRemovalRow = { placement_id: string; machine_id: string; machine_tag: string; site_id: string; site_code: string; removed_on: LocalDate; next_site_code: string | null };

/**
 * Whether nobody counted what was in the box of a placement `p` as the machine left, as SQL: no removal is counted, and nothing that
 * came out of this box on that day waits for the room. Names the tenant `$1`.
 */
export const removalUncounted = `p.removed_on IS NOT NULL
        AND NOT EXISTS (SELECT FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id WHERE b.tenant_id = $1 AND b.placement_id = p.id AND b.removal AND c.state <> 'discarded')
        AND NOT EXISTS (SELECT ${baggedOf('p')} AND c.local_date = p.removed_on)
        AND NOT EXISTS (SELECT FROM collection c WHERE c.tenant_id = $1 AND c.site_id = p.site_id AND c.local_date = p.removed_on AND c.state = 'open'
                           AND p.machine_id IN (SELECT emptied.machine_id FROM (${opened((id) => `${id} = c.id`)}) emptied))`;

/** Machines that left a site while an agreement held there, and whose box nobody counted then, up to today at the site; the latest first. */
export async function selectUncountedRemovals(tx: TenantTransaction, { machineId, now, limit }: { readonly machineId: string | null; readonly now: Date; readonly limit: number }): Promise<UncountedRemovalRow[]> {
  const { rows } = await tx.sql<UncountedRemovalRow>(
    `SELECT p.id AS placement_id, p.machine_id, machine.tag AS machine_tag, p.site_id, s.code AS site_code, p.removed_on, went.code AS next_site_code
       FROM placement p
       JOIN machine ON machine.tenant_id = $1 AND machine.id = p.machine_id
       JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
       LEFT JOIN LATERAL (SELECT n.code FROM placement later JOIN site n ON n.tenant_id = $1 AND n.id = later.site_id
                           WHERE later.tenant_id = $1 AND later.machine_id = p.machine_id AND later.placed_on >= p.removed_on ORDER BY later.placed_on LIMIT 1) went ON true
      WHERE p.tenant_id = $1 AND ($2::uuid IS NULL OR p.machine_id = $2) AND p.removed_on <= ($4::timestamptz AT TIME ZONE s.time_zone)::date AND ${removalUncounted}
        AND EXISTS (SELECT FROM agreement a WHERE a.tenant_id = $1 AND a.site_id = p.site_id AND a.started_on < p.removed_on AND (a.ended_on IS NULL OR a.ended_on >= p.removed_on))
      ORDER BY p.removed_on DESC, machine.tag LIMIT $3`,
    [tx.tenantId, machineId, limit, now],
  );
  return rows;
}
