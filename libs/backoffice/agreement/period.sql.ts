import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Cycle } from '#domain/terms/types';

export type PeriodRow = { id: string; agreement_id: string; site_id: string; starts_on: LocalDate; ends_before: LocalDate };

export type AgreementDay = { readonly agreementId: string; readonly date: LocalDate };

/** With the place in the list, from 1, of the day that the period contains; days without a period are missing. */
export async function selectPeriodsOf(tx: TenantTransaction, days: readonly AgreementDay[]): Promise<(PeriodRow & { place: number })[]> {
  const { rows } = await tx.sql<PeriodRow & { place: number }>(
    `SELECT d.place::int AS place, p.id, p.agreement_id, p.site_id, p.starts_on, p.ends_before
       FROM unnest($2::uuid[], $3::date[]) WITH ORDINALITY AS d (agreement_id, day, place)
       JOIN period p ON p.tenant_id = $1 AND p.agreement_id = d.agreement_id AND p.starts_on <= d.day AND p.ends_before > d.day`,
    [tx.tenantId, days.map((each) => each.agreementId), days.map((each) => each.date)],
  );
  return rows;
}

export type CycleRow = { agreement_id: string; site_id: string; effective_from: LocalDate; cycle: Cycle };

/** Cycles by the day from which they hold, withdrawn versions left out. */
export async function selectCycles(tx: TenantTransaction, agreementIds: readonly string[]): Promise<CycleRow[]> {
  const { rows } = await tx.sql<CycleRow>(
    `SELECT v.agreement_id, a.site_id, v.effective_from, v.terms -> 'cycle' AS cycle
       FROM agreement_version v JOIN agreement a ON a.tenant_id = v.tenant_id AND a.id = v.agreement_id
      WHERE v.tenant_id = $1 AND v.agreement_id = ANY ($2::uuid[]) AND v.withdrawn_at IS NULL
      ORDER BY v.agreement_id, v.effective_from`,
    [tx.tenantId, agreementIds],
  );
  return rows;
}

/** In one order everywhere, so that two writers of the same periods wait for each other and do not deadlock. */
export async function insertPeriods(tx: TenantTransaction, periods: readonly PeriodRow[]): Promise<void> {
  await tx.sql(
    `INSERT INTO period (tenant_id, id, agreement_id, site_id, starts_on, ends_before)
     SELECT $1, p.id, p.agreement_id, p.site_id, p.starts_on, p.ends_before
       FROM unnest($2::uuid[], $3::uuid[], $4::uuid[], $5::date[], $6::date[]) AS p (id, agreement_id, site_id, starts_on, ends_before)
      ORDER BY p.agreement_id, p.starts_on
     ON CONFLICT DO NOTHING`,
    [
      tx.tenantId,
      periods.map((period) => period.id),
      periods.map((period) => period.agreement_id),
      periods.map((period) => period.site_id),
      periods.map((period) => period.starts_on),
      periods.map((period) => period.ends_before),
    ],
  );
}

/**
 * Shares the locks of these periods and of every later one of their agreements, in the order in which a close takes them:
 * a change in a period is a change in the carries of all that follow.
 */
export async function sharePeriodsFrom(tx: TenantTransaction, periodIds: readonly string[]): Promise<void> {
  await tx.sql(
    `SELECT FROM period
      WHERE tenant_id = $1 AND id IN (
        SELECT later.id FROM period first
          JOIN period later ON later.tenant_id = first.tenant_id AND later.agreement_id = first.agreement_id AND later.starts_on >= first.starts_on
         WHERE first.tenant_id = $1 AND first.id = ANY ($2::uuid[]))
      ORDER BY id FOR SHARE`,
    [tx.tenantId, periodIds],
  );
}

/** Shares the locks of all periods of an agreement that reach to the day or beyond. */
export async function sharePeriodsReaching(tx: TenantTransaction, agreement: { ids: readonly string[]; from: LocalDate }): Promise<void> {
  await tx.sql(
    `SELECT FROM period WHERE tenant_id = $1 AND agreement_id = ANY ($2::uuid[]) AND ends_before > $3::date ORDER BY id FOR SHARE`,
    [tx.tenantId, agreement.ids, agreement.from],
  );
}
