import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { stands } from '../settlement/standing.sql';

export type MonthOfArea = { readonly areaId: string; readonly from: LocalDate; readonly until: LocalDate };

export type SiteRow = { readonly id: string; readonly code: string; readonly name: string; readonly currency: string };

export async function readSites(tx: TenantTransaction, areaId: string): Promise<SiteRow[]> {
  const { rows } = await tx.sql<SiteRow>('SELECT id, code, name, currency FROM site WHERE tenant_id = $1 AND tax_area_id = $2 ORDER BY code', [tx.tenantId, areaId]);
  return rows;
}

/** Periods of the area's sites with a day in the month. */
export async function readPeriodIds(tx: TenantTransaction, { areaId, from, until }: MonthOfArea): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT p.id FROM period p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
      WHERE p.tenant_id = $1 AND s.tax_area_id = $2 AND p.starts_on < $4::date AND p.ends_before > $3::date
      ORDER BY p.id`,
    [tx.tenantId, areaId, from, until],
  );
  return rows.map((row) => row.id);
}

export type SettledRow = { readonly site_id: string; readonly inputs: string };

/**
 * Inputs of numbered settlements of periods with a day in the month, and of later ones that settled such a period again;
 * oldest first, so that the last word on a period comes last.
 */
export async function readSettledInputs(tx: TenantTransaction, { areaId, from, until }: MonthOfArea): Promise<SettledRow[]> {
  const { rows } = await tx.sql<SettledRow>(
    `WITH touching AS (
       SELECT p.agreement_id, p.starts_on, p.ends_before FROM period p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
        WHERE p.tenant_id = $1 AND s.tax_area_id = $2 AND p.starts_on < $4::date AND p.ends_before > $3::date)
     SELECT st.site_id, st.inputs FROM settlement st
      WHERE st.tenant_id = $1 AND ${stands('st')}
        AND EXISTS (SELECT FROM touching t WHERE t.agreement_id = st.agreement_id
                       AND (t.starts_on = st.starts_on
                            OR (t.starts_on < st.starts_on
                                AND EXISTS (SELECT FROM settlement_line l WHERE l.tenant_id = $1 AND l.settlement_id = st.id
                                               AND l.period_starts_on >= t.starts_on AND l.period_starts_on < t.ends_before))))
      ORDER BY st.agreement_id, st.starts_on, st.round`,
    [tx.tenantId, areaId, from, until],
  );
  return rows;
}

/**
 * Tax that the operator files, as numbered settlements booked it for periods that end in the month: of each period by its
 * own settlement and by all that settled it again. Over all months it is what they posted to the area's tax account.
 */
export async function readBooked(tx: TenantTransaction, { areaId, from, until, operator }: MonthOfArea & { readonly operator: string }): Promise<ReadonlyMap<string, bigint>> {
  const { rows } = await tx.sql<{ site_id: string; booked_minor: bigint }>(
    `SELECT st.site_id, sum(l.amount_minor)::bigint AS booked_minor
       FROM period p
       JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id AND s.tax_area_id = $2
       JOIN settlement st ON st.tenant_id = p.tenant_id AND st.agreement_id = p.agreement_id AND st.starts_on >= p.starts_on AND ${stands('st')}
       JOIN settlement_line l ON l.tenant_id = st.tenant_id AND l.settlement_id = st.id
        AND l.period_starts_on >= p.starts_on AND l.period_starts_on < p.ends_before
        AND l.kind IN ('tax', 'operator-tax') AND l.party = $5
      WHERE p.tenant_id = $1 AND p.ends_before > $3::date AND p.ends_before <= $4::date
      GROUP BY st.site_id`,
    [tx.tenantId, areaId, from, until, operator],
  );
  return new Map(rows.map((row) => [row.site_id, row.booked_minor]));
}

export type TermsRow = { readonly site_id: string; readonly effective_from: LocalDate; readonly filed_by: 'as-the-rule-says' | 'operator' | 'site'; readonly cycle: string };

/** Who files, and the cycle, by the terms that stand at the area's sites; in order of their first days. */
export async function readTermsOfSites(tx: TenantTransaction, { areaId, until }: MonthOfArea): Promise<TermsRow[]> {
  const { rows } = await tx.sql<TermsRow>(
    `SELECT a.site_id, v.effective_from, v.terms -> 'tax' ->> 'filedBy' AS filed_by, v.terms -> 'cycle' ->> 'kind' AS cycle
       FROM agreement a
       JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id AND s.tax_area_id = $2
       JOIN agreement_version v ON v.tenant_id = a.tenant_id AND v.agreement_id = a.id AND v.withdrawn_at IS NULL
      WHERE a.tenant_id = $1 AND v.effective_from < $3::date
      ORDER BY a.site_id, v.effective_from`,
    [tx.tenantId, areaId, until],
  );
  return rows;
}

export type StandingRow = {
  readonly placement_id: string;
  readonly machine_id: string;
  readonly tag: string;
  readonly kind: string;
  readonly site_id: string;
  readonly placed_on: LocalDate;
  readonly removed_on: LocalDate | null;
};

/** Placements in the area since a little more than a year before the month: as far back as a yearly tax may have fallen due. */
export async function readStanding(tx: TenantTransaction, { areaId, from, until }: MonthOfArea): Promise<StandingRow[]> {
  const { rows } = await tx.sql<StandingRow>(
    `SELECT p.id AS placement_id, m.id AS machine_id, m.tag, m.kind, p.site_id, p.placed_on, p.removed_on
       FROM placement p
       JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id AND s.tax_area_id = $2
       JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
      WHERE p.tenant_id = $1 AND p.placed_on < $4::date AND coalesce(p.removed_on, 'infinity') > $3::date - 400
      ORDER BY m.tag, m.id, p.placed_on`,
    [tx.tenantId, areaId, from, until],
  );
  return rows;
}

/** What an account of the journal holds; debits positive. */
export async function readAccountBalance(tx: TenantTransaction, account: { code: string; currency: string }): Promise<bigint> {
  const { rows } = await tx.sql<{ balance_minor: bigint }>(
    'SELECT coalesce(sum(amount_minor), 0)::bigint AS balance_minor FROM journal_posting WHERE tenant_id = $1 AND account_code = $2 AND currency = $3',
    [tx.tenantId, account.code, account.currency],
  );
  return rows[0]?.balance_minor ?? 0n;
}
