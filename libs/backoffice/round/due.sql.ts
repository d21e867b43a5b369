import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export async function insertRhythm(tx: TenantTransaction, rhythm: { readonly id: string; readonly siteId: string; readonly everyDays: number; readonly boxLimitMinor: bigint | null; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO collection_rhythm (tenant_id, id, site_id, currency, every_days, box_limit_minor, recorded_at, recorded_by)
     SELECT $1, $2, s.id, s.currency, $4, $5, $6, $7 FROM site s WHERE s.tenant_id = $1 AND s.id = $3`,
    [tx.tenantId, rhythm.id, rhythm.siteId, rhythm.everyDays, rhythm.boxLimitMinor, rhythm.now, tx.actor],
  );
}

export type DueSiteRow = {
  site_id: string;
  site_code: string;
  site_name: string;
  currency: CurrencyCode;
  time_zone: string;
  today: LocalDate;
  every_days: number | null;
  box_limit_minor: bigint | null;
  last_collected_on: LocalDate | null;
  /** The day on which the first of the machines came that stand there. */
  first_placed_on: LocalDate;
  placement_ids: string[];
  round_id: string | null;
  planned_on: LocalDate | null;
  collector_name: string | null;
};

/** Sites at which machines stand, with their rhythm, their last visit and the next round that goes there. */
export async function selectDueSites(tx: TenantTransaction, now: Date): Promise<DueSiteRow[]> {
  const { rows } = await tx.sql<DueSiteRow>(
    `WITH here AS (
       SELECT s.id AS site_id, ($2::timestamptz AT TIME ZONE s.time_zone)::date AS today, min(p.placed_on) AS first_placed_on, array_agg(p.id::text ORDER BY p.id) AS placement_ids
         FROM site s JOIN placement p ON p.tenant_id = s.tenant_id AND p.site_id = s.id
        WHERE s.tenant_id = $1 AND p.placed_on <= ($2::timestamptz AT TIME ZONE s.time_zone)::date
          AND (p.removed_on IS NULL OR p.removed_on > ($2::timestamptz AT TIME ZONE s.time_zone)::date)
        GROUP BY s.id, s.time_zone)
     SELECT here.*, s.code AS site_code, s.name AS site_name, s.currency, s.time_zone, rhythm.every_days, rhythm.box_limit_minor, last.local_date AS last_collected_on,
            next.round_id, next.planned_on, next.collector_name
       FROM here
       JOIN site s ON s.tenant_id = $1 AND s.id = here.site_id
       LEFT JOIN LATERAL (
         SELECT c.local_date FROM collection c WHERE c.tenant_id = $1 AND c.site_id = here.site_id AND c.local_date <= here.today AND c.state <> 'discarded' ORDER BY c.local_date DESC LIMIT 1) last ON true
       LEFT JOIN LATERAL (
         SELECT h.every_days, h.box_limit_minor FROM collection_rhythm h WHERE h.tenant_id = $1 AND h.site_id = here.site_id ORDER BY h.recorded_at DESC, h.id DESC LIMIT 1) rhythm ON true
       LEFT JOIN LATERAL (
         SELECT r.id AS round_id, r.planned_on, p.name AS collector_name
           FROM collection_round_stop stop
           JOIN collection_round r ON r.tenant_id = $1 AND r.id = stop.round_id AND r.state = 'planned'
           JOIN person p ON p.tenant_id = $1 AND p.id = r.collector_id
          WHERE stop.tenant_id = $1 AND stop.site_id = here.site_id AND r.planned_on >= here.today AND (last.local_date IS NULL OR last.local_date < r.planned_on)
          ORDER BY r.planned_on, r.id LIMIT 1) next ON true
      ORDER BY s.code`,
    [tx.tenantId, now],
  );
  return rows;
}
