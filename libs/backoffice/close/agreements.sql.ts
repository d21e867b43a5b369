import type { TenantTransaction } from '#database/tenant';
import { isSettled } from '../settlement/standing.sql';

export type CandidateRow = {
  readonly id: string;
  readonly site_id: string;
  readonly time_zone: string;
  readonly started_on: string;
  readonly ended_on: string | null;
};

/** No period of a cycle is longer than this many days. */
const LONGEST_PERIOD_DAYS = 31;

/** Agreements that may have a period beginning on the day; their cycles decide. */
export async function readCandidates(tx: TenantTransaction, startsOn: string): Promise<CandidateRow[]> {
  const { rows } = await tx.sql<CandidateRow>(
    `SELECT a.id, a.site_id, s.time_zone, a.started_on, a.ended_on
       FROM agreement a JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
      WHERE a.tenant_id = $1 AND a.started_on < $2::date + $3::integer
        AND (a.ended_on IS NULL OR a.ended_on > $2 OR EXISTS (
          SELECT FROM period p JOIN late_change l ON l.tenant_id = p.tenant_id AND l.period_id = p.id
           WHERE p.tenant_id = a.tenant_id AND p.agreement_id = a.id
             AND NOT ${isSettled('l')}))
      ORDER BY s.code, a.started_on`,
    [tx.tenantId, startsOn, LONGEST_PERIOD_DAYS],
  );
  return rows;
}

/** Sites where something was collected, taken by card or stolen, as booked to the day. */
export async function readVisitedSites(tx: TenantTransaction, day: string): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ site_id: string }>(
    `SELECT site_id FROM collection WHERE tenant_id = $1 AND accounting_date = $2 AND state <> 'discarded'
     UNION SELECT site_id FROM cashless_taking WHERE tenant_id = $1 AND accounting_date = $2
     UNION SELECT site_id FROM break_in WHERE tenant_id = $1 AND accounting_date = $2`,
    [tx.tenantId, day],
  );
  return new Set(rows.map((row) => row.site_id));
}
