import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { withCollector } from '../collection/cash-place.sql';

export type Days = { readonly from: string; readonly to: string };

export type TrailCollectionRow = {
  id: string;
  day: LocalDate;
  site_code: string;
  currency: CurrencyCode;
  collector_id: string | null;
  collector_name: string | null;
  removed_minor: bigint | null;
  counted_minor: bigint | null;
  /** Counted at the machines by a collector who is named, and with them until it is handed in; null where there is none. Known before acceptance. */
  with_collector_minor: bigint | null;
  handed_minor: bigint;
  refunds_minor: bigint;
  filled_minor: bigint;
};

/**
 * Collections of days with what was taken out of the boxes (where all that the room counted were counted at the machine,
 * too; a box that the room never saw is missing whole), what the room counted once that is accepted, and what was given out before
 * bagging. Of boxes whose count at the machine settles one figure is both.
 */
export async function selectTrailCollections(tx: TenantTransaction, { from, to }: Days): Promise<TrailCollectionRow[]> {
  const { rows } = await tx.sql<TrailCollectionRow>(
    `SELECT c.id, c.local_date AS day, s.code AS site_code, c.currency, c.collected_by AS collector_id, p.name AS collector_name,
            CASE WHEN c.state = 'accepted' AND boxes.at_machine THEN boxes.removed_minor END AS removed_minor, CASE WHEN c.state = 'accepted' THEN boxes.counted_minor END AS counted_minor,
            ${withCollector('c', { filled: true })} AS with_collector_minor,
            coalesce(handed.minor, 0) AS handed_minor, coalesce(refunded.minor, 0) AS refunds_minor, coalesce(filled.minor, 0) AS filled_minor
       FROM collection c
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       LEFT JOIN person p ON p.tenant_id = $1 AND p.id = c.collected_by
       CROSS JOIN LATERAL (
         SELECT coalesce(sum(room.minor), 0)::bigint AS counted_minor, sum(coalesce(field.minor, room.minor))::bigint AS removed_minor, coalesce(bool_and(field.minor IS NOT NULL OR room.at_machine), false) AS at_machine
           FROM (SELECT b.placement_id, sum(b.coin_minor + b.note_minor) AS minor, bool_and(b.at_machine) AS at_machine FROM box_count b
                  WHERE b.tenant_id = $1 AND b.collection_id = c.id AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
                  GROUP BY b.placement_id) room
           FULL JOIN (SELECT w.placement_id, sum(w.coin_minor + w.note_minor) AS minor FROM field_count w WHERE w.tenant_id = $1 AND w.collection_id = c.id AND NOT EXISTS (SELECT FROM field_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = w.id) GROUP BY w.placement_id) field
             ON field.placement_id = room.placement_id) boxes
       LEFT JOIN LATERAL (SELECT sum(h.amount_minor)::bigint AS minor FROM cash_handed h
                           WHERE h.tenant_id = $1 AND h.collection_id = c.id AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = $1 AND newer.replaces_id = h.id)) handed ON true
       LEFT JOIN LATERAL (SELECT sum(r.amount_minor)::bigint AS minor FROM refund_slip r
                           WHERE r.tenant_id = $1 AND r.collection_id = c.id AND r.paid_by = 'operator'
                             AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)) refunded ON true
       LEFT JOIN LATERAL (SELECT sum(m.amount_minor)::bigint AS minor FROM cash_move m
                           WHERE m.tenant_id = $1 AND m.collection_id = c.id AND m.takes_back_id IS NULL
                             AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = m.id)) filled ON true
      WHERE c.tenant_id = $1 AND c.local_date BETWEEN $2 AND $3 AND c.state IN ('open', 'counted', 'accepted')
      ORDER BY c.local_date, p.name, c.happened_at, c.id`,
    [tx.tenantId, from, to],
  );
  return rows;
}
