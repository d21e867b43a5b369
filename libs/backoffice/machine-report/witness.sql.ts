import type { TenantTransaction } from '#database/tenant';
import type { CashTender } from '#domain/meters/meter';
import { emptiedBy } from '../collection/emptied.sql';
import type { MachineEvent } from './spans';

export type ReportedBetweenRow = { meter_id: string; since: Date; until: Date; first_at: Date; first_value: bigint; last_at: Date; last_value: bigint };

/**
 * The time between two emptyings of a box that follow each other, the second at a collection, or since a reading before, where one was missed: machine, placement and
 * collection are $2 to $4. `missedSince`: that reading, as SQL.
 */
const spanSince = (missedSince: string): string => `span AS (
       SELECT c.happened_at AS until,
              (SELECT CASE WHEN count(*) > 0 THEN least(max(earlier.happened_at), ${missedSince}) END
                 FROM (SELECT c.happened_at ${emptiedBy('p')}) earlier WHERE earlier.happened_at < c.happened_at) AS since
         FROM collection c JOIN placement p ON p.tenant_id = $1 AND p.id = $3 WHERE c.tenant_id = $1 AND c.id = $4)`;

/** The tenders of a box that are compared over several counts, and the readings since which they are. */
export async function selectMissedSince(tx: TenantTransaction, box: { readonly placementId: string; readonly collectionId: string }): Promise<ReadonlyMap<CashTender, Date>> {
  const { rows } = await tx.sql<{ tender: CashTender; since_at: Date }>(
    'SELECT tender, since_at FROM cash_variance WHERE tenant_id = $1 AND placement_id = $2 AND collection_id = $3 AND stands AND counts > 1 AND since_at IS NOT NULL',
    [tx.tenantId, box.placementId, box.collectionId],
  );
  return new Map(rows.map(({ tender, since_at: since }) => [tender, since]));
}

/** More are of no use to whoever looks for one. */
const MOST_EVENTS = 400;

/**
 * What a machine reported of its door and of faults between two emptyings of its box, or over all that is compared together, in the order in which it happened, the latest where there are very many; since it
 * was placed, where its box was emptied for the first time.
 */
export async function selectEventsBetween(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string; readonly missedSince: Date | null }): Promise<MachineEvent[]> {
  const { rows } = await tx.sql<MachineEvent>(
    `WITH ${spanSince('$5::timestamptz')},
     latest AS (
       SELECT e.kind, e.fault, e.happened_at AS at
         FROM span JOIN placement p ON p.tenant_id = $1 AND p.id = $3 JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
         JOIN machine_event e ON e.tenant_id = $1 AND e.machine_id = $2 AND e.happened_at > coalesce(span.since, p.placed_on::timestamp AT TIME ZONE s.time_zone) AND e.happened_at <= span.until
        ORDER BY e.happened_at DESC, e.kind, e.fault LIMIT ${String(MOST_EVENTS)})
     SELECT kind, fault, at FROM latest ORDER BY at, kind DESC, fault`,
    [tx.tenantId, box.machineId, box.placementId, box.collectionId, box.missedSince],
  );
  return rows;
}

/**
 * Of each meter the last reports before two emptyings of a box that follow each other, counted or waiting in their bags; the
 * earlier one of two days before at most.
 */
export async function selectReportedBetween(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string; readonly missedSince: Date | null }): Promise<ReportedBetweenRow[]> {
  const { rows } = await tx.sql<ReportedBetweenRow>(
    `WITH ${spanSince('$5::timestamptz')}
     SELECT m.id AS meter_id, span.since, span.until, first.read_at AS first_at, first.value AS first_value, last.read_at AS last_at, last.value AS last_value
       FROM span
       JOIN meter m ON m.tenant_id = $1 AND m.machine_id = $2
       CROSS JOIN LATERAL (
         SELECT r.read_at, r.value FROM machine_report_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at <= span.since AND r.read_at > span.since - interval '2 days' ORDER BY r.read_at DESC, r.value DESC LIMIT 1) first
       CROSS JOIN LATERAL (
         SELECT r.read_at, r.value FROM machine_report_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at <= span.until AND r.read_at > span.since ORDER BY r.read_at DESC, r.value DESC LIMIT 1) last`,
    [tx.tenantId, box.machineId, box.placementId, box.collectionId, box.missedSince],
  );
  return rows;
}
