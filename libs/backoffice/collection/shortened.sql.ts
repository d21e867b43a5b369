import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type Shortened = { readonly source_id: string; readonly collection_id: string; readonly agreement_id: string; readonly accounting_date: LocalDate };

/**
 * Collections that were accepted before the readings of these were recorded, follow them at a meter, and are settled by
 * what meters say: from now on their interval begins at the reading of the older one. Where the older count adds 50.00 to
 * February, the newer one in March loses them, and one without the other would settle them twice.
 */
export async function selectShortened(tx: TenantTransaction, collectionIds: readonly string[]): Promise<Shortened[]> {
  const { rows } = await tx.sql<Shortened>(
    `SELECT DISTINCT r.collection_id AS source_id, newer.id AS collection_id, a.id AS agreement_id, newer.accounting_date
       FROM meter_reading r
       CROSS JOIN LATERAL (
         SELECT n.collection_id FROM meter_reading n
          WHERE n.tenant_id = $1 AND n.meter_id = r.meter_id AND n.happened_at > r.happened_at AND n.collection_id IS NOT NULL AND n.value IS NOT NULL
            AND NOT EXISTS (SELECT FROM meter_reading other WHERE other.tenant_id = $1 AND other.replaces_id = n.id)
          ORDER BY n.happened_at LIMIT 1) next
       JOIN collection newer ON newer.tenant_id = $1 AND newer.id = next.collection_id AND newer.state = 'accepted' AND newer.accepted_at <= r.recorded_at
       JOIN agreement a ON a.tenant_id = $1 AND a.site_id = newer.site_id AND a.started_on <= newer.accounting_date AND (a.ended_on IS NULL OR newer.accounting_date < a.ended_on)
       CROSS JOIN LATERAL (
         SELECT v.terms ->> 'basis' AS basis FROM agreement_version v
          WHERE v.tenant_id = $1 AND v.agreement_id = a.id AND v.withdrawn_at IS NULL AND v.effective_from <= newer.accounting_date
          ORDER BY v.effective_from DESC LIMIT 1) terms
      WHERE r.tenant_id = $1 AND r.collection_id = ANY ($2::uuid[]) AND r.value IS NOT NULL AND terms.basis = 'metered'
        AND NOT EXISTS (SELECT FROM meter_reading other WHERE other.tenant_id = $1 AND other.replaces_id = r.id)
        -- Where nobody settles by meters, nothing of this is read, however large the file.
        AND (SELECT EXISTS (SELECT FROM agreement_version v WHERE v.tenant_id = $1 AND v.withdrawn_at IS NULL AND v.terms ->> 'basis' = 'metered'))
      ORDER BY newer.accounting_date, a.id, r.collection_id`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}
