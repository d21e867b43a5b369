import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CashlessTiming } from '#domain/terms/types';

export type SiteDay = { readonly siteId: string; readonly day: LocalDate };

/** An agreement that holds at a site on a day; the parts of its terms are null where no version is in force. */
export type AgreementOfDay = { readonly place: number; readonly agreement_id: string; readonly cashless: CashlessTiming | null };

/**
 * The agreements that hold on days, by the place of the day in the list, from 1; days without one are missing. Shares the
 * locks of the sites' agreements first: who waited for one to end must read that it did.
 */
export async function shareAgreementsOn(tx: TenantTransaction, days: readonly SiteDay[]): Promise<ReadonlyMap<number, AgreementOfDay>> {
  const siteIds = days.map(({ siteId }) => siteId);
  await tx.sql('SELECT FROM agreement WHERE tenant_id = $1 AND site_id = ANY ($2::uuid[]) ORDER BY id FOR SHARE', [tx.tenantId, [...new Set(siteIds)]]);
  const { rows } = await tx.sql<AgreementOfDay>(
    `SELECT d.place::int AS place, a.id AS agreement_id, v.terms ->> 'cashless' AS cashless
       FROM unnest($2::uuid[], $3::date[]) WITH ORDINALITY AS d (site_id, day, place)
       JOIN agreement a ON a.tenant_id = $1 AND a.site_id = d.site_id AND daterange(a.started_on, a.ended_on, '[)') @> d.day
       LEFT JOIN LATERAL (
         SELECT v.terms FROM agreement_version v
          WHERE v.tenant_id = a.tenant_id AND v.agreement_id = a.id AND v.withdrawn_at IS NULL AND v.effective_from <= d.day
          ORDER BY v.effective_from DESC LIMIT 1) v ON true`,
    [tx.tenantId, siteIds, days.map(({ day }) => day)],
  );
  return new Map(rows.map((row) => [row.place, row]));
}
