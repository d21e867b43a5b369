import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';
import { stands } from '../settlement/standing.sql';

export type AgreementRow = {
  id: string;
  code: string;
  site_id: string;
  site_code: string;
  site_name: string;
  currency: CurrencyCode;
  party_id: string;
  party_name: string;
  other_party_ids: string[];
  started_on: LocalDate;
  ended_on: LocalDate | null;
  revision: number;
};

const agreements = `
  SELECT a.id, a.code, a.site_id, s.code AS site_code, s.name AS site_name, s.currency, a.party_id, p.name AS party_name,
         ARRAY(SELECT o.party_id::text FROM agreement_party o WHERE o.tenant_id = a.tenant_id AND o.agreement_id = a.id ORDER BY o.party_id)
           AS other_party_ids,
         a.started_on, a.ended_on, a.revision
    FROM agreement a
    JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
    JOIN party p ON p.tenant_id = a.tenant_id AND p.id = a.party_id
   WHERE a.tenant_id = $1`;

export async function insertAgreement(
  tx: TenantTransaction,
  agreement: { id: string; code: string; siteId: string; partyId: string; otherPartyIds: readonly string[]; startedOn: LocalDate; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO agreement (tenant_id, id, code, site_id, party_id, started_on, created_at) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, agreement.id, agreement.code, agreement.siteId, agreement.partyId, agreement.startedOn, agreement.now],
  );
  await insertOtherParties(tx, { agreementId: agreement.id, partyIds: agreement.otherPartyIds });
}

export async function insertOtherParties(tx: TenantTransaction, others: { agreementId: string; partyIds: readonly string[] }): Promise<void> {
  await tx.sql(
    `INSERT INTO agreement_party (tenant_id, agreement_id, party_id) SELECT $1, $2, party_id FROM unnest($3::uuid[]) AS party_id`,
    [tx.tenantId, others.agreementId, others.partyIds],
  );
}

export async function selectAgreement(tx: TenantTransaction, id: string): Promise<AgreementRow | null> {
  const { rows } = await tx.sql<AgreementRow>(`${agreements} AND a.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Whoever changes terms or ends the agreement holds it; whoever cuts periods of it shares it. */
export async function lockAgreement(tx: TenantTransaction, id: string): Promise<boolean> {
  const { rowCount } = await tx.sql('SELECT FROM agreement WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id]);
  return rowCount === 1;
}

export async function shareAgreements(tx: TenantTransaction, ids: readonly string[]): Promise<void> {
  await tx.sql('SELECT FROM agreement WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR SHARE', [tx.tenantId, ids]);
}

export async function updateAgreement(tx: TenantTransaction, agreement: { id: string; code: string; endedOn: LocalDate | null }): Promise<void> {
  await tx.sql('UPDATE agreement SET code = $3, ended_on = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, agreement.id, agreement.code, agreement.endedOn]);
}

/** Another agreement of the site that shares a day with these days, by its code and days. */
export async function selectOverlap(
  tx: TenantTransaction,
  days: { siteId: string; startedOn: LocalDate; endedOn: LocalDate | null; exceptId: string | null },
): Promise<{ code: string; started_on: LocalDate; ended_on: LocalDate | null } | null> {
  const { rows } = await tx.sql<{ code: string; started_on: LocalDate; ended_on: LocalDate | null }>(
    `SELECT code, started_on, ended_on FROM agreement
      WHERE tenant_id = $1 AND site_id = $2 AND id IS DISTINCT FROM $5::uuid
        AND daterange(started_on, ended_on, '[)') && daterange($3::date, $4::date, '[)')
      ORDER BY started_on LIMIT 1`,
    [tx.tenantId, days.siteId, days.startedOn, days.endedOn, days.exceptId],
  );
  return rows[0] ?? null;
}

export type AgreementTies = {
  /** Last day to which an accepted collection of the site is booked within the agreement's days. */
  collected_on: LocalDate | null;
  /** Last day to which card takings or a break-in are booked within them. */
  reported_on: LocalDate | null;
  /** First day of the period whose final settlement has its number. */
  finally_settled: LocalDate | null;
  /** Day from which the last of its standing versions holds. */
  version_from: LocalDate | null;
};

export async function selectAgreementTies(tx: TenantTransaction, id: string): Promise<AgreementTies> {
  const { rows } = await tx.sql<AgreementTies>(
    `SELECT
       (SELECT max(c.accounting_date) FROM collection c
         WHERE c.tenant_id = a.tenant_id AND c.site_id = a.site_id AND c.state = 'accepted'
           AND c.accounting_date >= a.started_on AND (a.ended_on IS NULL OR c.accounting_date < a.ended_on)) AS collected_on,
       (SELECT max(record.day) FROM (
          SELECT max(t.accounting_date) AS day FROM cashless_taking t
           WHERE t.tenant_id = a.tenant_id AND t.site_id = a.site_id AND t.accounting_date >= a.started_on AND (a.ended_on IS NULL OR t.accounting_date < a.ended_on)
           UNION ALL
          SELECT max(b.accounting_date) FROM break_in b
           WHERE b.tenant_id = a.tenant_id AND b.site_id = a.site_id AND b.accounting_date >= a.started_on AND (a.ended_on IS NULL OR b.accounting_date < a.ended_on)) AS record) AS reported_on,
       (SELECT max(x.starts_on) FROM settlement x
         WHERE x.tenant_id = a.tenant_id AND x.agreement_id = a.id AND x.kind <> 'regular' AND ${stands('x')}) AS finally_settled,
       (SELECT max(v.effective_from) FROM agreement_version v
         WHERE v.tenant_id = a.tenant_id AND v.agreement_id = a.id AND v.withdrawn_at IS NULL) AS version_from
       FROM agreement a WHERE a.tenant_id = $1 AND a.id = $2`,
    [tx.tenantId, id],
  );
  return onlyRow(rows);
}

/** Which of these ids are parties of the operator. */
export async function selectKnownParties(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; name: string }>('SELECT id, name FROM party WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [tx.tenantId, ids]);
  return new Map(rows.map((row) => [row.id, row.name]));
}

export async function selectAgreements(
  tx: TenantTransaction,
  list: {
    after: string | null;
    limit: number;
    pattern: string | null;
    siteId: string | null;
    partyId: string | null;
    on: string | null;
    siteIds: readonly string[] | null;
  },
): Promise<AgreementRow[]> {
  const { rows } = await tx.sql<AgreementRow>(
    `${agreements}
        AND ($2::text IS NULL OR a.code > $2)
        AND ($3::text IS NULL OR a.code ILIKE $3 OR s.code ILIKE $3 OR s.name ILIKE $3 OR p.name ILIKE $3)
        AND ($4::uuid IS NULL OR a.site_id = $4)
        AND ($5::uuid IS NULL OR a.party_id = $5)
        AND ($6::date IS NULL OR daterange(a.started_on, a.ended_on, '[)') @> $6)
        AND ($7::uuid[] IS NULL OR a.site_id = ANY ($7))
      ORDER BY a.code LIMIT $8`,
    [tx.tenantId, list.after, list.pattern, list.siteId, list.partyId, list.on, list.siteIds, list.limit + 1],
  );
  return rows;
}
