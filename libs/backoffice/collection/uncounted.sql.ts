import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type UncountedRow = { site_code: string; local_date: LocalDate; machine_tag: string; why: 'read' | 'counted-at-machine' | 'bag' };

/**
 * Machines whose box was opened at a collection, as their meters were read there, their cash was counted there or left in a
 * bag of their own, as SQL. `collection`: the condition on its id. Names the tenant `$1`.
 */
export function opened(collection: (id: string) => string): string {
  return `SELECT r.collection_id, r.machine_id, 'read' AS why FROM meter_reading r
           WHERE r.tenant_id = $1 AND ${collection('r.collection_id')} AND r.value IS NOT NULL
             AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)
          UNION SELECT f.collection_id, f.machine_id, 'counted-at-machine' FROM field_count f WHERE f.tenant_id = $1 AND ${collection('f.collection_id')}
          UNION SELECT k.collection_id, k.machine_id, 'bag' FROM collection_bag k WHERE k.tenant_id = $1 AND ${collection('k.collection_id')} AND k.machine_id IS NOT NULL`;
}

/**
 * Machines whose box was emptied at a collection that waits, as SQL; where nothing is counted yet any that stood there may
 * have been, as several boxes go into one bag. `collection`: the alias of its row. Names the tenant `$1`.
 */
export function emptiedAt(collection: string): string {
  return `SELECT opened.machine_id FROM (${opened((id) => `${id} = ${collection}.id`)}) opened
          UNION SELECT b.machine_id FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = ${collection}.id
          UNION SELECT p.machine_id FROM placement p WHERE ${collection}.state = 'open' AND p.tenant_id = $1 AND p.site_id = ${collection}.site_id
                   AND p.placed_on <= ${collection}.local_date AND (p.removed_on IS NULL OR p.removed_on >= ${collection}.local_date)`;
}

const isUncounted = (box: string): string => `NOT EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = ${box}.collection_id AND b.machine_id = ${box}.machine_id)`;

/** Whether such a machine of the collection has no count, as SQL. */
export function hasUncounted(collectionId: string): string {
  return `EXISTS (SELECT FROM (${opened((id) => `${id} = ${collectionId}`)}) opened WHERE ${isUncounted('opened')})`;
}

export type UncountedAcceptedRow = UncountedRow & { collection_id: string };

/** Machines whose box was opened at a collection that is in the books, or at this one of them, and that no count says anything of; the latest first. */
export async function selectUncountedAccepted(tx: TenantTransaction, { collectionId, limit }: { readonly collectionId: string | null; readonly limit: number }): Promise<UncountedAcceptedRow[]> {
  const { rows } = await tx.sql<UncountedAcceptedRow>(
    `SELECT c.id AS collection_id, s.code AS site_code, c.local_date, m.tag AS machine_tag, min(opened.why) AS why
       FROM (${opened((id) => `($2::uuid IS NULL OR ${id} = $2)`)}) opened
       JOIN collection c ON c.tenant_id = $1 AND c.id = opened.collection_id AND c.state = 'accepted'
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = opened.machine_id
      WHERE ${isUncounted('opened')}
      GROUP BY c.id, s.code, c.local_date, m.tag ORDER BY c.local_date DESC, s.code, m.tag LIMIT $3`,
    [tx.tenantId, collectionId, limit],
  );
  return rows;
}

/** Machines whose box was opened at one of these collections, and for which no count was entered. By site, day and machine, each with one reason. */
export async function selectUncounted(tx: TenantTransaction, collectionIds: readonly string[]): Promise<UncountedRow[]> {
  const { rows } = await tx.sql<UncountedRow>(
    `SELECT s.code AS site_code, c.local_date, m.tag AS machine_tag, min(opened.why) AS why
       FROM (${opened((id) => `${id} = ANY ($2::uuid[])`)}) opened
       JOIN collection c ON c.tenant_id = $1 AND c.id = opened.collection_id
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = opened.machine_id
      WHERE ${isUncounted('opened')}
      GROUP BY s.code, c.id, c.local_date, m.tag ORDER BY s.code, c.local_date, c.id, m.tag`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}
