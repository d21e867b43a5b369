import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type StandingRow = { readonly reversed_on: LocalDate | null; readonly certificate_id: string; readonly stored_at: Date };

/** The issued settlement with this digest. */
export async function selectStanding(tx: TenantTransaction, digest: Buffer): Promise<StandingRow | null> {
  const { rows } = await tx.sql<StandingRow>(
    `SELECT (r.recorded_at AT TIME ZONE o.time_zone)::date AS reversed_on, t.certificate_id, t.stored_at
       FROM settlement x
       JOIN statement t ON t.tenant_id = x.tenant_id AND t.settlement_id = x.id
       JOIN operator o ON o.tenant_id = x.tenant_id
       LEFT JOIN settlement_reversal r ON r.tenant_id = x.tenant_id AND r.settlement_id = x.id
      WHERE x.tenant_id = $1 AND x.standing_digest = $2 AND x.state = 'issued'`,
    [tx.tenantId, digest],
  );
  return rows[0] ?? null;
}
