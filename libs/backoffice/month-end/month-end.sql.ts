import type { TenantTransaction } from '#database/tenant';
import { joinLastWord } from '../settlement/notes.sql';
import { isReversed, isSettled, stands } from '../settlement/standing.sql';

export type AgreementRow = {
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly currency: string;
  readonly settlement_id: string | null;
  /** The settlement that was reversed last, where none has followed. */
  readonly reversed_id: string | null;
  readonly settlement_state: 'draft' | 'reviewed' | 'numbered' | 'issued' | null;
  readonly takings_minor: bigint | null;
  readonly site_share_minor: bigint | null;
  readonly payable_minor: bigint | null;
  readonly earlier_minor: bigint | null;
  readonly previous_takings_minor: bigint | null;
  readonly previous_payable_minor: bigint | null;
  /** Why the draft is held, or null. */
  readonly held_because: string | null;
  /** Collections, card takings or a break-in. */
  readonly has_takings: boolean;
  readonly has_open_collections: boolean;
};

/** Agreements of a period with what there is of it: collections, a settlement, and the one before to compare with. By site code. */
export async function readAgreementRows(
  tx: TenantTransaction,
  period: { agreementIds: readonly string[]; startsOn: string; endsBefore: string },
): Promise<AgreementRow[]> {
  const { rows } = await tx.sql<AgreementRow>(
    `SELECT a.id AS agreement_id, s.id AS site_id, s.code AS site_code, s.name AS site_name, s.currency,
            own.id AS settlement_id, own.state AS settlement_state, own.takings_minor, own.site_share_minor, own.payable_minor, own.earlier_minor,
            taken_back.id AS reversed_id, previous.takings_minor AS previous_takings_minor, previous.payable_minor AS previous_payable_minor,
            CASE WHEN own.state = 'draft' AND hold.kind = 'held' THEN hold.note END AS held_because,
            EXISTS (SELECT FROM collection c WHERE c.tenant_id = a.tenant_id AND c.site_id = a.site_id AND c.state <> 'discarded'
                       AND c.accounting_date >= greatest($3::date, a.started_on) AND c.accounting_date < least($4::date, a.ended_on))
              OR EXISTS (SELECT FROM cashless_taking t WHERE t.tenant_id = a.tenant_id AND t.site_id = a.site_id
                            AND t.accounting_date >= greatest($3::date, a.started_on) AND t.accounting_date < least($4::date, a.ended_on))
              OR EXISTS (SELECT FROM break_in b WHERE b.tenant_id = a.tenant_id AND b.site_id = a.site_id
                            AND b.accounting_date >= greatest($3::date, a.started_on) AND b.accounting_date < least($4::date, a.ended_on)) AS has_takings,
            EXISTS (SELECT FROM collection c WHERE c.tenant_id = a.tenant_id AND c.site_id = a.site_id AND c.state IN ('open', 'counted')
                       AND c.accounting_date >= greatest($3::date, a.started_on) AND c.accounting_date < least($4::date, a.ended_on)) AS has_open_collections
       FROM unnest($2::uuid[]) AS wanted (agreement_id)
       JOIN agreement a ON a.tenant_id = $1 AND a.id = wanted.agreement_id
       JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
       LEFT JOIN LATERAL (SELECT * FROM settlement x WHERE x.tenant_id = a.tenant_id AND x.agreement_id = a.id AND x.starts_on = $3
                            AND NOT ${isReversed('x')} ORDER BY x.round DESC LIMIT 1) own ON true
       LEFT JOIN LATERAL (SELECT x.id FROM settlement x WHERE x.tenant_id = a.tenant_id AND x.agreement_id = a.id AND x.starts_on = $3
                            AND ${isReversed('x')} ORDER BY x.round DESC LIMIT 1) taken_back ON own.id IS NULL
       LEFT JOIN LATERAL (SELECT x.takings_minor, x.payable_minor FROM settlement x WHERE x.tenant_id = a.tenant_id AND x.agreement_id = a.id AND x.starts_on < $3
                            AND ${stands('x')} ORDER BY x.starts_on DESC, x.round DESC LIMIT 1) previous ON true
       ${joinLastWord('hold', { of: 'own', as: 'hold' })}
      ORDER BY s.code, a.id`,
    [tx.tenantId, period.agreementIds, period.startsOn, period.endsBefore],
  );
  return rows;
}

/** A corrected hand-out changes what is set off and, out of bags, the takings: one change of its period. */
export async function countLateChanges(tx: TenantTransaction, agreementIds: readonly string[]): Promise<number> {
  const { rows } = await tx.sql<{ count: bigint }>(
    `SELECT count(DISTINCT (l.period_id, l.source_id)) AS count FROM late_change l JOIN period p ON p.tenant_id = l.tenant_id AND p.id = l.period_id
      WHERE l.tenant_id = $1 AND p.agreement_id = ANY ($2::uuid[])
        AND NOT ${isSettled('l')}`,
    [tx.tenantId, agreementIds],
  );
  return Number(rows[0]?.count ?? 0n);
}

export type CycleInUse = { readonly cycle: unknown; readonly first_day: string; readonly last_day: string | null };

/** The cycles that agreements have or had, each with the days over which it was in use; the last day is null while it is. */
export async function readCyclesInUse(tx: TenantTransaction): Promise<CycleInUse[]> {
  const { rows } = await tx.sql<CycleInUse>(
    `SELECT v.terms -> 'cycle' AS cycle, min(greatest(v.effective_from, a.started_on)) AS first_day,
            nullif(max(coalesce(a.ended_on - 1, 'infinity'::date)), 'infinity'::date) AS last_day
       FROM agreement_version v JOIN agreement a ON a.tenant_id = v.tenant_id AND a.id = v.agreement_id
      WHERE v.tenant_id = $1 AND v.withdrawn_at IS NULL
      GROUP BY 1 ORDER BY 1`,
    [tx.tenantId],
  );
  return rows;
}

/** Days of visits under terms with a settlement per visit, the latest first. */
export async function readVisitDays(tx: TenantTransaction, most: number): Promise<string[]> {
  const { rows } = await tx.sql<{ day: string }>(
    `WITH settled_by_visit AS (
       SELECT a.site_id, v.effective_from AS from_day,
              least(a.ended_on, (SELECT min(next.effective_from) FROM agreement_version next
                                  WHERE next.tenant_id = v.tenant_id AND next.agreement_id = v.agreement_id AND next.withdrawn_at IS NULL
                                    AND next.effective_from > v.effective_from)) AS before_day
         FROM agreement_version v JOIN agreement a ON a.tenant_id = v.tenant_id AND a.id = v.agreement_id
        WHERE v.tenant_id = $1 AND v.withdrawn_at IS NULL AND v.terms -> 'cycle' ->> 'kind' = 'visit')
     SELECT DISTINCT record.accounting_date AS day
       FROM settled_by_visit s CROSS JOIN LATERAL (
         SELECT accounting_date FROM collection WHERE tenant_id = $1 AND site_id = s.site_id AND state <> 'discarded'
          UNION ALL SELECT accounting_date FROM cashless_taking WHERE tenant_id = $1 AND site_id = s.site_id
          UNION ALL SELECT accounting_date FROM break_in WHERE tenant_id = $1 AND site_id = s.site_id) record
      WHERE record.accounting_date >= s.from_day AND (s.before_day IS NULL OR record.accounting_date < s.before_day)
      ORDER BY 1 DESC LIMIT $2`,
    [tx.tenantId, most],
  );
  return rows.map((row) => row.day);
}

export type ClosedPeriod = { readonly id: string; readonly cycle: string; readonly starts_on: string; readonly ends_before: string };

export async function readClosedPeriods(tx: TenantTransaction): Promise<ClosedPeriod[]> {
  const { rows } = await tx.sql<ClosedPeriod>('SELECT id, cycle, starts_on, ends_before FROM close_run WHERE tenant_id = $1', [tx.tenantId]);
  return rows;
}

/** Zones of the sites that are still open: a period is over when it is over at all of them. */
export async function readTimeZones(tx: TenantTransaction): Promise<string[]> {
  const { rows } = await tx.sql<{ time_zone: string }>(
    `SELECT DISTINCT time_zone FROM site WHERE tenant_id = $1 AND closed_on IS NULL
     UNION SELECT time_zone FROM operator WHERE tenant_id = $1`,
    [tx.tenantId],
  );
  return rows.map((row) => row.time_zone);
}
