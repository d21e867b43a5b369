import type { TenantTransaction } from '#database/tenant';
import type { LateCause } from '../agreement/late-change.sql';
import { isSettled } from './standing.sql';

export type LateChangeRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly starts_on: string;
  readonly ends_before: string;
  readonly cause: LateCause;
  readonly source_id: string;
  readonly recorded_at: Date;
};

/** Times are compared to the millisecond, which is all that a cursor carries. */
export async function listLateChangeRows(
  tx: TenantTransaction,
  page: { after: { recordedAt: string; id: string } | null; limit: number },
): Promise<LateChangeRow[]> {
  const { rows } = await tx.sql<LateChangeRow>(
    `SELECT l.id, p.agreement_id, p.site_id, s.code AS site_code, s.name AS site_name, p.starts_on, p.ends_before, l.cause, l.source_id, l.recorded_at
       FROM late_change l
       JOIN period p ON p.tenant_id = l.tenant_id AND p.id = l.period_id
       JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
      WHERE l.tenant_id = $1
        AND NOT ${isSettled('l')}
        AND ($2::timestamptz IS NULL OR (date_trunc('milliseconds', l.recorded_at), l.id) > ($2, $3::uuid))
      ORDER BY date_trunc('milliseconds', l.recorded_at), l.id
      LIMIT $4`,
    [tx.tenantId, page.after?.recordedAt ?? null, page.after?.id ?? null, page.limit],
  );
  return rows;
}
