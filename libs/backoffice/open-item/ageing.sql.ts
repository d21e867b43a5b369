import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { openAt } from './open-at.sql';

/** What one payee under one agreement has open that fell due on one day. */
export type DueRow = {
  readonly agreement_id: string;
  readonly agreement_code: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly currency: CurrencyCode;
  readonly dated_on: LocalDate;
  /** Zero or above. */
  readonly to_payee_minor: bigint;
  /** Zero or below. */
  readonly from_payee_minor: bigint;
};

/** What was open at the end of a day at these sites (null: at all), the oldest first. */
export async function selectDue(tx: TenantTransaction, { on, sites }: { readonly on: LocalDate; readonly sites: readonly string[] | null }): Promise<DueRow[]> {
  const { rows } = await tx.sql<DueRow>(
    `SELECT o.agreement_id, a.code AS agreement_code, o.site_id, s.code AS site_code, s.name AS site_name, o.party_id, p.name AS party_name, o.currency, o.dated_on,
            sum(greatest(o.open_minor, 0))::bigint AS to_payee_minor, sum(least(o.open_minor, 0))::bigint AS from_payee_minor
       FROM (${openAt('$2')}) o
       JOIN agreement a ON a.tenant_id = $1 AND a.id = o.agreement_id
       JOIN site s ON s.tenant_id = $1 AND s.id = o.site_id
       JOIN party p ON p.tenant_id = $1 AND p.id = o.party_id
      WHERE $3::uuid[] IS NULL OR o.site_id = ANY ($3)
      GROUP BY o.agreement_id, a.code, o.site_id, s.code, s.name, o.party_id, p.name, o.currency, o.dated_on
      ORDER BY o.dated_on, s.code, a.code, p.name, o.party_id`,
    [tx.tenantId, on, sites],
  );
  return rows;
}
