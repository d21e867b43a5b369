import type { TenantTransaction } from '#database/tenant';
import { goesByMeters } from '../collection/metered.sql';
import { removalUncounted } from '../meter/tasks.sql';

export type OpenFlagRow = { settlement_id: string; flag_id: string; machine_tag: string; site_code: string; local_date: string };

/**
 * Flags that stand in the way of settlements: of counts booked under the agreement by the end of the period, that nobody has
 * explained and for which no settlement of the agreement was let pass. Those of earlier periods come late into this one.
 */
export async function selectFlagsInTheWay(tx: TenantTransaction, settlementIds: readonly string[]): Promise<OpenFlagRow[]> {
  const { rows } = await tx.sql<OpenFlagRow>(
    `SELECT st.id AS settlement_id, f.id AS flag_id, m.tag AS machine_tag, s.code AS site_code, c.local_date
       FROM settlement st
       JOIN site s ON s.tenant_id = $1 AND s.id = st.site_id
       JOIN agreement a ON a.tenant_id = $1 AND a.id = st.agreement_id
       JOIN variance_flag f ON f.tenant_id = $1 AND f.site_id = st.site_id AND f.state = 'open' AND f.accounting_date < st.ends_before
                           AND f.accounting_date >= a.started_on AND (a.ended_on IS NULL OR f.accounting_date < a.ended_on)
       JOIN machine m ON m.tenant_id = $1 AND m.id = f.machine_id
       JOIN collection c ON c.tenant_id = $1 AND c.id = f.collection_id
      WHERE st.tenant_id = $1 AND st.id = ANY ($2::uuid[])
        AND NOT EXISTS (SELECT FROM variance_flag_override o JOIN settlement passed ON passed.tenant_id = $1 AND passed.id = o.settlement_id
                         WHERE o.tenant_id = $1 AND o.flag_id = f.id AND passed.agreement_id = st.agreement_id)
      ORDER BY st.id, f.accounting_date, m.tag`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export type UncountedRow = { settlement_id: string; placement_id: string; machine_id: string; machine_tag: string; site_code: string; removed_on: string };

/**
 * Machines that left the sites of settlements by the end of their periods, under terms that go by the meters, and whose box nobody
 * counted then: what their meters counted since the last visit belongs to that count, and would be paid to nobody. Those of earlier
 * periods, whose settlement may have been issued before the removal was entered, come late into this one, but for those for which a settlement of the agreement
 * was let pass. Terms that go by what was counted need no such gate: they pay what is counted, with the count, whenever that comes.
 */
export async function selectUncountedInTheWay(tx: TenantTransaction, settlementIds: readonly string[]): Promise<UncountedRow[]> {
  const { rows } = await tx.sql<UncountedRow>(
    `SELECT st.id AS settlement_id, p.id AS placement_id, m.id AS machine_id, m.tag AS machine_tag, s.code AS site_code, p.removed_on
       FROM settlement st
       JOIN site s ON s.tenant_id = $1 AND s.id = st.site_id
       JOIN agreement a ON a.tenant_id = $1 AND a.id = st.agreement_id
       JOIN placement p ON p.tenant_id = $1 AND p.site_id = st.site_id AND p.removed_on <= st.ends_before
                       AND p.removed_on > a.started_on AND (a.ended_on IS NULL OR p.removed_on <= a.ended_on)
       JOIN machine m ON m.tenant_id = $1 AND m.id = p.machine_id
      WHERE st.tenant_id = $1 AND st.id = ANY ($2::uuid[]) AND ${removalUncounted} AND ${goesByMeters({ agreementId: 'a.id', day: '(p.removed_on - 1)' })}
        AND NOT EXISTS (SELECT FROM uncounted_removal_override o JOIN settlement passed ON passed.tenant_id = $1 AND passed.id = o.settlement_id
                         WHERE o.tenant_id = $1 AND o.placement_id = p.id AND passed.agreement_id = st.agreement_id)
      ORDER BY st.id, p.removed_on, m.tag`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

type Override = { readonly settlementId: string; readonly flagIds: readonly string[]; readonly placementIds: readonly string[]; readonly eventId: string };

export async function insertOverrides(tx: TenantTransaction, override: Override): Promise<void> {
  await tx.sql(
    'INSERT INTO variance_flag_override (tenant_id, settlement_id, flag_id, event_id) SELECT $1, $2, flag_id, $4 FROM unnest($3::uuid[]) AS f (flag_id)',
    [tx.tenantId, override.settlementId, override.flagIds, override.eventId],
  );
  await tx.sql(
    'INSERT INTO uncounted_removal_override (tenant_id, settlement_id, placement_id, event_id) SELECT $1, $2, placement_id, $4 FROM unnest($3::uuid[]) AS p (placement_id)',
    [tx.tenantId, override.settlementId, override.placementIds, override.eventId],
  );
}
