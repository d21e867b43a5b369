import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { stands } from '../settlement/standing.sql';

/** Nothing can be written from here on, whatever the program does. */
export async function makeReadOnly(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT set_config('transaction_read_only', 'on', true)`);
}

/** One of an operator at a time: it reads and reckons for seconds. The lock ends with the transaction. */
export async function takeTurn(tx: TenantTransaction): Promise<boolean> {
  const { rows } = await tx.sql<{ taken: boolean }>(`SELECT pg_try_advisory_xact_lock(hashtextextended('what-if:' || $1, 0)) AS taken`, [tx.tenantId]);
  return rows[0]?.taken === true;
}

export async function unknownSites(tx: TenantTransaction, siteIds: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT id FROM unnest($2::uuid[]) AS asked (id) WHERE NOT EXISTS (SELECT FROM site s WHERE s.tenant_id = $1 AND s.id = asked.id)`,
    [tx.tenantId, siteIds],
  );
  return rows.map((row) => row.id);
}

export type ScopeRow = {
  readonly agreement_id: string;
  readonly party_id: string;
  readonly other_party_ids: readonly string[];
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly currency: CurrencyCode;
};

export type Days = { readonly startsOn: LocalDate; readonly endsBefore: LocalDate };

/** A settlement that settled a change in a period before a day: it may have the last word on periods of a range that ends there. */
const reachesBackBefore = (day: string): string =>
  `EXISTS (SELECT FROM late_change_settled d
             JOIN late_change l ON l.tenant_id = d.tenant_id AND l.id = d.late_change_id
             JOIN period p ON p.tenant_id = l.tenant_id AND p.id = l.period_id
            WHERE d.tenant_id = x.tenant_id AND d.settlement_id = x.id AND p.starts_on < ${day})`;

/** Agreements of which something is settled in these days, by site code. `siteIds` null: of all sites. */
export async function selectScope(tx: TenantTransaction, scope: Days & { siteIds: readonly string[] | null }): Promise<ScopeRow[]> {
  const { rows } = await tx.sql<ScopeRow>(
    `SELECT a.id AS agreement_id, a.party_id, s.id AS site_id, s.code AS site_code, s.name AS site_name, s.currency,
            ARRAY(SELECT o.party_id::text FROM agreement_party o WHERE o.tenant_id = a.tenant_id AND o.agreement_id = a.id ORDER BY o.party_id) AS other_party_ids
       FROM agreement a JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
      WHERE a.tenant_id = $1 AND ($2::uuid[] IS NULL OR a.site_id = ANY ($2))
        AND EXISTS (SELECT FROM settlement x
                     WHERE x.tenant_id = a.tenant_id AND x.agreement_id = a.id AND ${stands('x')} AND x.starts_on >= $3
                       AND (x.starts_on < $4 OR ${reachesBackBefore('$4')}))
      ORDER BY s.code, a.started_on, a.id`,
    [tx.tenantId, scope.siteIds, scope.startsOn, scope.endsBefore],
  );
  return rows;
}

export type IssuedRow = { readonly agreement_id: string; readonly inputs: string; readonly result: string };

/** Everything that was issued for the periods of these days, oldest first. */
export async function selectIssued(tx: TenantTransaction, query: Days & { agreementIds: readonly string[] }): Promise<IssuedRow[]> {
  const { rows } = await tx.sql<IssuedRow>(
    `SELECT x.agreement_id, x.inputs, x.result
       FROM settlement x
      WHERE x.tenant_id = $1 AND x.agreement_id = ANY ($2::uuid[]) AND ${stands('x')} AND x.starts_on >= $3
        AND (x.starts_on < $4 OR ${reachesBackBefore('$4')})
      ORDER BY x.agreement_id, x.starts_on, x.round`,
    [tx.tenantId, query.agreementIds, query.startsOn, query.endsBefore],
  );
  return rows;
}
