import type { TenantTransaction } from '#database/tenant';
import { emptiedBy } from '../collection/emptied.sql';

export type ReportedBetweenRow = { meter_id: string; since: Date; until: Date; first_at: Date; first_value: bigint; last_at: Date; last_value: bigint };

/**
 * Of each meter the last reports before two emptyings of a box that follow each other, counted or waiting in their bags; the
 * earlier one of two days before at most.
 */
export async function selectReportedBetween(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string }): Promise<ReportedBetweenRow[]> {
  const { rows } = await tx.sql<ReportedBetweenRow>(
    `WITH span AS (
       SELECT c.happened_at AS until,
              (SELECT max(earlier.happened_at) FROM (SELECT c.happened_at ${emptiedBy('p')}) earlier WHERE earlier.happened_at < c.happened_at) AS since
         FROM collection c JOIN placement p ON p.tenant_id = $1 AND p.id = $3 WHERE c.tenant_id = $1 AND c.id = $4)
     SELECT m.id AS meter_id, span.since, span.until, first.read_at AS first_at, first.value AS first_value, last.read_at AS last_at, last.value AS last_value
       FROM span
       JOIN meter m ON m.tenant_id = $1 AND m.machine_id = $2
       CROSS JOIN LATERAL (
         SELECT r.read_at, r.value FROM machine_report_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at <= span.since AND r.read_at > span.since - interval '2 days' ORDER BY r.read_at DESC, r.value DESC LIMIT 1) first
       CROSS JOIN LATERAL (
         SELECT r.read_at, r.value FROM machine_report_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at <= span.until AND r.read_at > span.since ORDER BY r.read_at DESC, r.value DESC LIMIT 1) last`,
    [tx.tenantId, box.machineId, box.placementId, box.collectionId],
  );
  return rows;
}
