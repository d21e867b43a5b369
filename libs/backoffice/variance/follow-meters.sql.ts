import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

/**
 * Accepted collections in which the machine was counted, from the last before a moment on, oldest first: what was read as a
 * machine left a place may belong to that. Where it was out of order at that moment, from the beginning of that: what moved
 * later in an outage is said of the whole of it.
 */
export async function selectAcceptedSince(tx: TenantTransaction, { machineId, from }: { readonly machineId: string; readonly from: Date }): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `WITH emptied AS (
       SELECT DISTINCT c.id, c.happened_at FROM placement p JOIN box_count b ON b.tenant_id = $1 AND b.placement_id = p.id JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
        WHERE p.tenant_id = $1 AND p.machine_id = $2 AND c.state = 'accepted')
     SELECT c.id FROM emptied c
      WHERE c.happened_at >= least($3, (SELECT max(last.happened_at) FROM emptied last WHERE last.happened_at < $3), (SELECT o.started_at FROM outage o WHERE o.tenant_id = $1 AND o.machine_id = $2 AND o.taken_back_at IS NULL AND o.started_at <= $3 AND (o.ended_at IS NULL OR o.ended_at > $3) LIMIT 1))
      ORDER BY c.happened_at, c.id`,
    [tx.tenantId, machineId, from],
  );
  return rows.map((row) => row.id);
}

/** Those of these collections that fall under terms that go by the meters. */
export async function selectSettledByMeters(tx: TenantTransaction, collectionIds: readonly string[]): Promise<{ agreement_id: string; accounting_date: LocalDate }[]> {
  const { rows } = await tx.sql<{ agreement_id: string; accounting_date: LocalDate }>(
    `SELECT a.id AS agreement_id, c.accounting_date
       FROM collection c
       JOIN agreement a ON a.tenant_id = $1 AND a.site_id = c.site_id AND a.started_on <= c.accounting_date AND (a.ended_on IS NULL OR c.accounting_date < a.ended_on)
       CROSS JOIN LATERAL (
         SELECT v.terms ->> 'basis' AS basis FROM agreement_version v
          WHERE v.tenant_id = $1 AND v.agreement_id = a.id AND v.withdrawn_at IS NULL AND v.effective_from <= c.accounting_date
          ORDER BY v.effective_from DESC LIMIT 1) terms
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]) AND terms.basis = 'metered'
      ORDER BY c.accounting_date, a.id`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}
