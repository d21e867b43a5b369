import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { onlyRow } from '../rows';

export type PlacementRow = {
  id: string;
  machine_id: string;
  machine_tag: string;
  site_id: string;
  site_code: string;
  time_zone: string;
  placed_on: LocalDate;
  removed_on: LocalDate | null;
  revision: number;
};

const placements = `
  SELECT p.id, p.machine_id, m.tag AS machine_tag, p.site_id, s.code AS site_code, s.time_zone, p.placed_on, p.removed_on, p.revision
    FROM placement p
    JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
    JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
   WHERE p.tenant_id = $1`;

export async function insertPlacement(
  tx: TenantTransaction,
  placement: { id: string; machineId: string; siteId: string; placedOn: string; removedOn: string | null; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO placement (tenant_id, id, machine_id, site_id, placed_on, removed_on, created_at) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, placement.id, placement.machineId, placement.siteId, placement.placedOn, placement.removedOn, placement.now],
  );
}

export async function selectPlacement(tx: TenantTransaction, id: string): Promise<PlacementRow | null> {
  const { rows } = await tx.sql<PlacementRow>(`${placements} AND p.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** The row alone: whoever records a count holds it FOR SHARE, so its days do not change under a count being written. */
export async function lockPlacement(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('SELECT FROM placement WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id]);
}

export async function updatePlacement(tx: TenantTransaction, placement: { id: string; placedOn: string; removedOn: string | null }): Promise<void> {
  await tx.sql('UPDATE placement SET placed_on = $3, removed_on = $4 WHERE tenant_id = $1 AND id = $2', [
    tx.tenantId,
    placement.id,
    placement.placedOn,
    placement.removedOn,
  ]);
}

/** A placement of the machine that shares a day with these days; `null` when the machine is free. */
export async function selectOverlap(
  tx: TenantTransaction,
  days: { machineId: string; placedOn: string; removedOn: string | null; exceptId: string | null },
): Promise<PlacementRow | null> {
  const { rows } = await tx.sql<PlacementRow>(
    `${placements} AND p.machine_id = $2 AND p.id IS DISTINCT FROM $5::uuid
        AND daterange(p.placed_on, p.removed_on, '[)') && daterange($3::date, $4::date, '[)')
      ORDER BY p.placed_on LIMIT 1`,
    [tx.tenantId, days.machineId, days.placedOn, days.removedOn, days.exceptId],
  );
  return rows[0] ?? null;
}

export type CountedDays = {
  /** Day of the first count at the placement, `null` without any. */
  first: string | null;
  last: string | null;
  /** Day of the removal count, `null` without one. */
  removal: string | null;
  /** First and last day with card takings or a break-in, `null` without any. */
  first_reported: string | null;
  last_reported: string | null;
};

export async function selectCountedDays(tx: TenantTransaction, placementId: string): Promise<CountedDays> {
  const { rows } = await tx.sql<CountedDays>(
    `SELECT counted.*, reported.*
       FROM (SELECT min(c.local_date) AS first, max(c.local_date) AS last, max(c.local_date) FILTER (WHERE b.removal) AS removal
               FROM box_count b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
              WHERE b.tenant_id = $1 AND b.placement_id = $2 AND c.state <> 'discarded') AS counted,
            (SELECT min(day) AS first_reported, max(day) AS last_reported
               FROM (SELECT local_date AS day FROM cashless_taking WHERE tenant_id = $1 AND placement_id = $2
                      UNION ALL SELECT happened_on FROM break_in WHERE tenant_id = $1 AND placement_id = $2) AS record) AS reported`,
    [tx.tenantId, placementId],
  );
  return onlyRow(rows);
}

export async function selectPlacements(
  tx: TenantTransaction,
  list: {
    after: readonly [placedOn: string, id: string] | null;
    limit: number;
    machineId: string | null;
    siteId: string | null;
    on: string | null;
    siteIds: readonly string[] | null;
  },
): Promise<PlacementRow[]> {
  const [placedOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<PlacementRow>(
    `${placements}
        AND ($2::date IS NULL OR (p.placed_on, p.id) < ($2, $3::uuid))
        AND ($4::uuid IS NULL OR p.machine_id = $4)
        AND ($5::uuid IS NULL OR p.site_id = $5)
        AND ($6::date IS NULL OR daterange(p.placed_on, p.removed_on, '[)') @> $6)
        AND ($7::uuid[] IS NULL OR p.site_id = ANY ($7))
      ORDER BY p.placed_on DESC, p.id DESC LIMIT $8`,
    [tx.tenantId, placedOn, id, list.machineId, list.siteId, list.on, list.siteIds, list.limit + 1],
  );
  return rows;
}
