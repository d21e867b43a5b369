import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { countsCash } from '../meter/meter.sql';
import { ofCollection, readAsItLeft, wasFitted } from '../meter/not-read.sql';
import { standingValues } from '../meter/price.sql';
import { stands } from '../meter/reading.sql';
import { meteredApart } from './metered.sql';

type BoxId = { readonly collectionId: string; readonly machineId: string };

/** A meter of the board that was in a machine as its box was emptied, or of one that came out of it since the box before. Days are those at the site of the box. */
export type BoxMeterRow = {
  collection_id: string;
  machine_id: string;
  label: string;
  /** Of a board that came out before the box was emptied. */
  board_out: string | null;
  digits: number | null;
  /** It was read with the box, as the machine left with it, or as its board came out. */
  read_here: boolean;
  /** The reading from which the box counts: of the box before, or as the machine came or its board was fitted. */
  since_value: bigint | null;
  since_at: Date | null;
  since_day: LocalDate | null;
  /** That was read before the machine came here. */
  since_elsewhere: boolean | null;
  placed_on: LocalDate;
  removed_on: LocalDate | null;
  /** Changes of what a unit is worth after that reading, at which it was not read. */
  unread_prices: readonly { readonly atMs: number; readonly day: LocalDate }[];
};

/**
 * SQL: whether a board `k` came out of the machine of `box` at its place, and nothing of the machine was read at a collection from then until the box was emptied
 * at `c`: what the board counted last lies in the box.
 */
const cameOut = `(k.removed_at <= c.happened_at AND k.removed_at >= p.placed_on::timestamp AT TIME ZONE s.time_zone
  AND NOT EXISTS (SELECT FROM meter_reading e WHERE e.tenant_id = $1 AND e.machine_id = box.machine_id AND e.collection_id IS NOT NULL AND e.happened_at >= k.removed_at AND e.happened_at < c.happened_at AND ${stands('e')}))`;

/** Meters that say how much cash lay in some boxes, box by box. */
export async function selectBoxMeters(tx: TenantTransaction, boxes: readonly BoxId[]): Promise<BoxMeterRow[]> {
  const leaving = `(box.removal AND ${readAsItLeft(ofCollection)})`;
  const { rows } = await tx.sql<BoxMeterRow>(
    `SELECT box.collection_id, box.machine_id, m.label, CASE WHEN k.removed_at <= c.happened_at THEN k.label END AS board_out, m.digits, p.placed_on, p.removed_on,
            EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND ${stands('r')} AND (r.happened_at = c.happened_at OR ${leaving} OR (k.removed_at <= c.happened_at AND r.occasion = 'board-removed'))) AS read_here,
            since.value AS since_value, since.elsewhere AS since_elsewhere, since.happened_at AS since_at, (since.happened_at AT TIME ZONE s.time_zone)::date AS since_day,
            coalesce((SELECT jsonb_agg(jsonb_build_object('atMs', floor(extract(epoch FROM v.effective_at) * 1000)::bigint, 'day', (v.effective_at AT TIME ZONE s.time_zone)::date) ORDER BY v.effective_at)
                        FROM (${standingValues}) v
                       WHERE v.tenant_id = $1 AND v.meter_id = m.id AND NOT v.withdrawn AND v.effective_at > since.happened_at AND v.effective_at < least(c.happened_at, k.removed_at)
                         AND NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at = v.effective_at AND ${stands('r')})), '[]') AS unread_prices
       FROM (SELECT w.collection_id, w.machine_id, b.placement_id, bool_or(b.removal) AS removal
               FROM unnest($2::uuid[], $3::uuid[]) AS w (collection_id, machine_id)
               JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = w.collection_id AND b.machine_id = w.machine_id
              WHERE NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
              GROUP BY w.collection_id, w.machine_id, b.placement_id) box
       JOIN collection c ON c.tenant_id = $1 AND c.id = box.collection_id
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       JOIN placement p ON p.tenant_id = $1 AND p.id = box.placement_id
       JOIN counter_board k ON ${wasFitted} OR (k.tenant_id = $1 AND k.machine_id = box.machine_id AND ${cameOut})
       JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id AND ${countsCash}
       LEFT JOIN LATERAL (
         SELECT r.value, r.happened_at, r.occasion = 'removal' OR r.happened_at < p.placed_on::timestamp AT TIME ZONE s.time_zone OR coalesce(e.site_id <> c.site_id, false) AS elsewhere
           FROM meter_reading r LEFT JOIN collection e ON e.tenant_id = $1 AND e.id = r.collection_id
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at < c.happened_at AND r.occasion IN ('collection', 'placement', 'removal', 'board-fitted') AND ${stands('r')} AND NOT ${leaving}
          ORDER BY r.happened_at DESC LIMIT 1) since ON true
      ORDER BY box.collection_id, box.machine_id, k.fitted_at, m.label`,
    [tx.tenantId, boxes.map(({ collectionId }) => collectionId), boxes.map(({ machineId }) => machineId)],
  );
  return rows;
}

export type BetweenRow = { collection_id: string; machine_id: string; between_id: string; local_date: LocalDate };

/** Of some boxes the earlier ones of the same stay since a moment, oldest first, of which nobody said what their meters imply. */
export async function selectBoxesBetween(tx: TenantTransaction, spans: readonly (BoxId & { readonly from: Date })[]): Promise<BetweenRow[]> {
  const { rows } = await tx.sql<BetweenRow>(
    `SELECT w.collection_id, w.machine_id, box.collection_id AS between_id, box.local_date
       FROM unnest($2::uuid[], $3::uuid[], $4::timestamptz[]) AS w (collection_id, machine_id, from_at)
       JOIN collection c ON c.tenant_id = $1 AND c.id = w.collection_id
       CROSS JOIN LATERAL (
         SELECT e.id AS collection_id, b.machine_id, e.local_date, e.happened_at FROM collection e JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = e.id AND b.machine_id = w.machine_id
          WHERE e.tenant_id = $1 AND e.state <> 'discarded' AND e.happened_at > w.from_at AND e.happened_at < c.happened_at
            AND EXISTS (SELECT FROM box_count own WHERE own.tenant_id = $1 AND own.collection_id = w.collection_id AND own.machine_id = w.machine_id AND own.placement_id = b.placement_id)
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
          GROUP BY e.id, b.machine_id, e.local_date, e.happened_at HAVING count(b.metered_minor) = 0) box
      WHERE ${meteredApart('box')} IS NULL
      ORDER BY w.collection_id, w.machine_id, box.happened_at, box.collection_id`,
    [tx.tenantId, spans.map(({ collectionId }) => collectionId), spans.map(({ machineId }) => machineId), spans.map(({ from }) => from)],
  );
  return rows;
}
