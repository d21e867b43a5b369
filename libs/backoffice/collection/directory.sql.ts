import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export type VisitedSite = {
  id: string;
  code: string;
  name: string;
  currency: CurrencyCode;
  time_zone: string;
  opened_on: LocalDate;
  closed_on: LocalDate | null;
};

export async function selectVisitedSite(tx: TenantTransaction, id: string): Promise<VisitedSite | null> {
  const { rows } = await tx.sql<VisitedSite>('SELECT id, code, name, currency, time_zone, opened_on, closed_on FROM site WHERE tenant_id = $1 AND id = $2', [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function isVisitKnown(tx: TenantTransaction, visit: { siteId: string; happenedAt: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql(`SELECT FROM collection WHERE tenant_id = $1 AND site_id = $2 AND happened_at = $3 AND state <> 'discarded'`, [tx.tenantId, visit.siteId, visit.happenedAt]);
  return rowCount > 0;
}

export type AgreementOnDay = {
  id: string;
  party_id: string;
  other_party_ids: string[];
  /** What the terms in force say about counts; null where none are. */
  basis: 'counted' | 'metered' | null;
  token_ids: string[] | null;
};

/** The agreement that holds at the site on the day, with the parties who may be handed cash under it. */
export async function selectAgreementOn(tx: TenantTransaction, place: { siteId: string; day: LocalDate }): Promise<AgreementOnDay | null> {
  const { rows } = await tx.sql<AgreementOnDay>(
    `SELECT a.id, a.party_id,
            ARRAY(SELECT o.party_id::text FROM agreement_party o WHERE o.tenant_id = a.tenant_id AND o.agreement_id = a.id) AS other_party_ids,
            v.terms ->> 'basis' AS basis,
            CASE WHEN v.terms IS NOT NULL THEN ARRAY(SELECT token ->> 'tokenId' FROM jsonb_array_elements(v.terms -> 'tokens') AS token) END AS token_ids
       FROM agreement a
       LEFT JOIN LATERAL (
         SELECT v.terms FROM agreement_version v
          WHERE v.tenant_id = a.tenant_id AND v.agreement_id = a.id AND v.withdrawn_at IS NULL AND v.effective_from <= $3::date
          ORDER BY v.effective_from DESC LIMIT 1) v ON true
      WHERE a.tenant_id = $1 AND a.site_id = $2 AND daterange(a.started_on, a.ended_on, '[)') @> $3::date`,
    [tx.tenantId, place.siteId, place.day],
  );
  return rows[0] ?? null;
}

/** What meters imply, by machine, as it was typed when the boxes of the collection were bagged; 0 where a part that was counted has it. */
export async function selectBagMetered(tx: TenantTransaction, collectionId: string): Promise<ReadonlyMap<string, bigint>> {
  const { rows } = await tx.sql<{ machine_id: string; metered_minor: bigint }>(
    `SELECT k.machine_id,
            CASE WHEN EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.machine_id = k.machine_id AND b.metered_minor IS NOT NULL) THEN 0
                 ELSE sum(k.metered_minor)::bigint END AS metered_minor
       FROM collection_bag k WHERE k.tenant_id = $1 AND k.collection_id = $2 AND k.metered_minor IS NOT NULL GROUP BY k.machine_id`,
    [tx.tenantId, collectionId],
  );
  return new Map(rows.map((row) => [row.machine_id, row.metered_minor]));
}

export type MachinePlacementRow = {
  machine_id: string;
  tag: string;
  id: string | null;
  site_id: string | null;
  site_code: string | null;
  placed_on: LocalDate | null;
  removed_on: LocalDate | null;
};

/**
 * Machines by tag or by one of their placements, with a row per placement; a machine that was never placed has one row
 * without. Holds the placements first, so that their days do not change before the counts are written.
 */
export async function shareMachinePlacements(
  tx: TenantTransaction,
  wanted: { tags: readonly string[]; placementIds: readonly string[] },
): Promise<MachinePlacementRow[]> {
  const machines = `
    SELECT m.id FROM machine m WHERE m.tenant_id = $1 AND m.tag = ANY ($2::text[])
     UNION SELECT p.machine_id FROM placement p WHERE p.tenant_id = $1 AND p.id = ANY ($3::uuid[])`;
  const values = [tx.tenantId, wanted.tags, wanted.placementIds];
  await tx.sql(`SELECT FROM placement WHERE tenant_id = $1 AND machine_id IN (${machines}) ORDER BY id FOR SHARE`, values);
  const { rows } = await tx.sql<MachinePlacementRow>(
    `SELECT m.id AS machine_id, m.tag, p.id, p.site_id, s.code AS site_code, p.placed_on, p.removed_on
       FROM machine m
       LEFT JOIN placement p ON p.tenant_id = m.tenant_id AND p.machine_id = m.id
       LEFT JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
      WHERE m.tenant_id = $1 AND m.id IN (${machines})
      ORDER BY m.tag, p.placed_on`,
    values,
  );
  return rows;
}
