import type { TenantTransaction } from '#database/tenant';

export async function readSiteOf(tx: TenantTransaction, agreementId: string): Promise<{ site_id: string; site_code: string; site_name: string } | undefined> {
  const { rows } = await tx.sql<{ site_id: string; site_code: string; site_name: string }>(
    `SELECT s.id AS site_id, s.code AS site_code, s.name AS site_name FROM agreement a JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
      WHERE a.tenant_id = $1 AND a.id = $2`,
    [tx.tenantId, agreementId],
  );
  return rows[0];
}
