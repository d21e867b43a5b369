import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';

export type SiteOfPlacement = { id: string; code: string; currency: CurrencyCode; time_zone: string };

export async function selectSites(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, SiteOfPlacement>> {
  const { rows } = await tx.sql<SiteOfPlacement>('SELECT id, code, currency, time_zone FROM site WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [tx.tenantId, ids]);
  return new Map(rows.map((row) => [row.id, row]));
}
