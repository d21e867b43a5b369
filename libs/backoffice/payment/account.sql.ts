import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

/** An agreement as the account of its payees. */
export type Account = {
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly time_zone: string;
  readonly currency: CurrencyCode;
  /** The owner of the site. */
  readonly party_id: string;
  readonly other_party_ids: readonly string[];
};

/**
 * Locks the account for whoever pays, matches, returns or reverses. Numbering shares this lock, so that what a settlement
 * takes into account cannot be taken back at the same moment. First of all locks: agreement, period, settlement, journal,
 * number counter, evidence.
 */
export async function lockAccount(tx: TenantTransaction, agreementId: string): Promise<Account | undefined> {
  await tx.sql('SELECT FROM agreement WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, agreementId]);
  const { rows } = await tx.sql<Account>(
    `SELECT a.id AS agreement_id, a.site_id, s.code AS site_code, s.time_zone, s.currency, a.party_id,
            ARRAY(SELECT o.party_id::text FROM agreement_party o WHERE o.tenant_id = a.tenant_id AND o.agreement_id = a.id) AS other_party_ids
       FROM agreement a JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
      WHERE a.tenant_id = $1 AND a.id = $2`,
    [tx.tenantId, agreementId],
  );
  return rows[0];
}

/** Shares the locks of the agreements of these periods, in the order in which everybody takes them. */
export async function shareAccountsOfPeriods(tx: TenantTransaction, periodIds: readonly string[]): Promise<void> {
  await tx.sql(
    `SELECT FROM agreement WHERE tenant_id = $1 AND id IN (SELECT agreement_id FROM period WHERE tenant_id = $1 AND id = ANY ($2::uuid[]))
      ORDER BY id FOR SHARE`,
    [tx.tenantId, periodIds],
  );
}

export async function agreementsOfSettlements(tx: TenantTransaction, settlementIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; agreement_id: string }>(
    'SELECT id, agreement_id FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[])',
    [tx.tenantId, settlementIds],
  );
  return new Map(rows.map((row) => [row.id, row.agreement_id]));
}

/** Terms in force on a day, the first ones before that; null where there are none. */
export async function readTermsOn(tx: TenantTransaction, query: { agreementId: string; day: LocalDate }): Promise<unknown> {
  const { rows } = await tx.sql<{ terms: unknown }>(
    `SELECT terms FROM agreement_version WHERE tenant_id = $1 AND agreement_id = $2 AND withdrawn_at IS NULL
      ORDER BY effective_from <= $3 DESC, CASE WHEN effective_from <= $3 THEN $3 - effective_from ELSE effective_from - $3 END LIMIT 1`,
    [tx.tenantId, query.agreementId, query.day],
  );
  return rows[0]?.terms ?? null;
}
