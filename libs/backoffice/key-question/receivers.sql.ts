import type { KeyHolder } from '#contracts/key-whereabouts';
import type { TenantTransaction } from '#database/tenant';

/** People who work at these sites at an instant, and named places there; `null`: at every site. */
export async function selectReceivers(tx: TenantTransaction, query: { readonly siteIds: readonly string[] | null; readonly now: Date }): Promise<KeyHolder[]> {
  const { rows } = await tx.sql<KeyHolder>(
    `SELECT r.kind, r.id, r.code, r.name, s.id AS "siteId", s.code AS "siteCode"
       FROM (SELECT 'person' AS kind, id, code, name, site_id, started_on, left_on FROM person WHERE tenant_id = $1
             UNION ALL SELECT 'place', id, code, name, site_id, NULL, NULL FROM key_place WHERE tenant_id = $1) r
       JOIN site s ON s.tenant_id = $1 AND s.id = r.site_id
      WHERE ($2::uuid[] IS NULL OR s.id = ANY ($2))
        AND (r.started_on IS NULL OR r.started_on <= ($3::timestamptz AT TIME ZONE s.time_zone)::date) AND (r.left_on IS NULL OR r.left_on >= ($3::timestamptz AT TIME ZONE s.time_zone)::date)
      ORDER BY s.code, r.kind, r.name, r.code`,
    [tx.tenantId, query.siteIds, query.now],
  );
  return rows;
}
