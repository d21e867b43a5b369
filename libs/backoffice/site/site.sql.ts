import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';
import { stands } from '../settlement/standing.sql';

export type SiteRow = {
  id: string;
  code: string;
  name: string;
  address: string[];
  time_zone: string;
  currency: CurrencyCode;
  tax_area_id: string;
  opened_on: LocalDate;
  closed_on: LocalDate | null;
  revision: number;
};

const columns = 'id, code, name, address, time_zone, currency, tax_area_id, opened_on, closed_on, revision';

export async function insertSite(tx: TenantTransaction, site: Omit<SiteRow, 'closed_on' | 'revision'> & { now: Date }): Promise<SiteRow> {
  const { rows } = await tx.sql<SiteRow>(
    `INSERT INTO site (tenant_id, id, code, name, address, time_zone, currency, tax_area_id, opened_on, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING ${columns}`,
    [tx.tenantId, site.id, site.code, site.name, site.address, site.time_zone, site.currency, site.tax_area_id, site.opened_on, site.now],
  );
  return onlyRow(rows);
}

export async function selectSite(tx: TenantTransaction, id: string): Promise<SiteRow | null> {
  const { rows } = await tx.sql<SiteRow>(`SELECT ${columns} FROM site WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Those of the ids that no site has. */
export async function selectUnknownSites(tx: TenantTransaction, ids: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>('SELECT asked.id FROM unnest($2::uuid[]) AS asked (id) WHERE NOT EXISTS (SELECT FROM site s WHERE s.tenant_id = $1 AND s.id = asked.id)', [tx.tenantId, ids]);
  return rows.map(({ id }) => id);
}

/**
 * NO KEY: whoever records a collection only needs the site to go on existing and is not held up; whoever places a
 * machine or ends an agreement takes the row FOR SHARE and waits.
 */
export async function lockSite(tx: TenantTransaction, id: string): Promise<SiteRow | null> {
  const { rows } = await tx.sql<SiteRow>(`SELECT ${columns} FROM site WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Keeps the site from being changed until the transaction ends. */
export async function shareSite(tx: TenantTransaction, id: string): Promise<SiteRow | null> {
  const { rows } = await tx.sql<SiteRow>(`SELECT ${columns} FROM site WHERE tenant_id = $1 AND id = $2 FOR SHARE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateSite(tx: TenantTransaction, site: SiteRow): Promise<SiteRow> {
  const { rows } = await tx.sql<SiteRow>(
    `UPDATE site SET code = $3, name = $4, address = $5, time_zone = $6, tax_area_id = $7, opened_on = $8, closed_on = $9
      WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`,
    [tx.tenantId, site.id, site.code, site.name, site.address, site.time_zone, site.tax_area_id, site.opened_on, site.closed_on],
  );
  return onlyRow(rows);
}

/** What hangs on the site outside the days from `openedOn` up to, not including, `closedOn`; and whether it was ever settled. */
export async function selectSiteTies(
  tx: TenantTransaction,
  site: { id: string; openedOn: string; closedOn: string | null },
): Promise<{ placed_before: string | null; placed_after: string | null; agreed_before: string | null; agreed_after: string | null; settled: boolean }> {
  const { rows } = await tx.sql<{
    placed_before: string | null;
    placed_after: string | null;
    agreed_before: string | null;
    agreed_after: string | null;
    settled: boolean;
  }>(
    `SELECT
       (SELECT min(m.tag) FROM placement p JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
         WHERE p.tenant_id = $1 AND p.site_id = $2 AND p.placed_on < $3::date) AS placed_before,
       (SELECT min(m.tag) FROM placement p JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
         WHERE p.tenant_id = $1 AND p.site_id = $2 AND coalesce(p.removed_on, 'infinity') > $4::date) AS placed_after,
       (SELECT min(a.code) FROM agreement a
         WHERE a.tenant_id = $1 AND a.site_id = $2 AND a.started_on < $3::date) AS agreed_before,
       (SELECT min(a.code) FROM agreement a
         WHERE a.tenant_id = $1 AND a.site_id = $2 AND coalesce(a.ended_on, 'infinity') > $4::date) AS agreed_after,
       EXISTS (SELECT FROM settlement s WHERE s.tenant_id = $1 AND s.site_id = $2 AND ${stands('s')}) AS settled`,
    [tx.tenantId, site.id, site.openedOn, site.closedOn],
  );
  return onlyRow(rows);
}

export async function selectSites(
  tx: TenantTransaction,
  list: {
    after: string | null;
    limit: number;
    pattern: string | null;
    openOn: string | null;
    taxAreaId: string | null;
    siteIds: readonly string[] | null;
  },
): Promise<SiteRow[]> {
  const { rows } = await tx.sql<SiteRow>(
    `SELECT ${columns} FROM site
      WHERE tenant_id = $1
        AND ($2::text IS NULL OR code > $2)
        AND ($3::text IS NULL OR code ILIKE $3 OR name ILIKE $3)
        AND ($4::date IS NULL OR (opened_on <= $4 AND coalesce(closed_on, 'infinity') > $4))
        AND ($5::uuid IS NULL OR tax_area_id = $5)
        AND ($6::uuid[] IS NULL OR id = ANY ($6))
      ORDER BY code LIMIT $7`,
    [tx.tenantId, list.after, list.pattern, list.openOn, list.taxAreaId, list.siteIds, list.limit + 1],
  );
  return rows;
}
