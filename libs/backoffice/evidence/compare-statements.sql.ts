import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type StoredStatement = { settlement_id: string; number: string; unsigned_digest: Buffer; digest: Buffer; fingerprint: Buffer; stored_at: Date };

/** Statements of settlements, with the digest of the bytes that lie there now; a digest that was stored beside them says nothing. */
export async function selectStoredStatements(tx: TenantTransaction, settlementIds: readonly string[]): Promise<StoredStatement[]> {
  const { rows } = await tx.sql<StoredStatement>(
    `SELECT t.settlement_id, s.number, t.unsigned_digest, sha256(t.pdf) AS digest, c.fingerprint, t.stored_at
       FROM statement t
       JOIN settlement s ON s.tenant_id = $1 AND s.id = t.settlement_id
       JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = t.certificate_id
      WHERE t.tenant_id = $1 AND t.settlement_id = ANY ($2::uuid[]) AND t.pdf_digest = sha256(t.pdf)`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export type StoredReversal = { id: string; settlement_id: string; number: string; accounting_date: LocalDate; reason: string; recorded_at: Date; recorded_by: string };

export async function selectStoredReversals(tx: TenantTransaction, settlementIds: readonly string[]): Promise<StoredReversal[]> {
  const { rows } = await tx.sql<StoredReversal>(
    `SELECT r.id, r.settlement_id, s.number, r.accounting_date, r.reason, r.recorded_at, r.recorded_by
       FROM settlement_reversal r JOIN settlement s ON s.tenant_id = $1 AND s.id = r.settlement_id
      WHERE r.tenant_id = $1 AND r.settlement_id = ANY ($2::uuid[])`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export type StoredRevocation = { id: string; step: 'recorded' | 'confirmed'; fingerprint: Buffer; revoked_from: Date; made_at: Date; made_by: string };

/** Each step of revocations: that one was recorded, and that it was confirmed. */
export async function selectStoredRevocations(tx: TenantTransaction, ids: readonly string[]): Promise<StoredRevocation[]> {
  const { rows } = await tx.sql<StoredRevocation>(
    `SELECT r.id, step.step, c.fingerprint, r.revoked_from, step.made_at, step.made_by
       FROM signing_certificate_revocation r
       JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = r.certificate_id
       CROSS JOIN LATERAL (
         SELECT 'recorded' AS step, r.recorded_at AS made_at, r.recorded_by AS made_by
          UNION ALL
         SELECT 'confirmed', n.confirmed_at, n.confirmed_by FROM signing_certificate_revocation_confirmation n WHERE n.tenant_id = $1 AND n.revocation_id = r.id) step
      WHERE r.tenant_id = $1 AND r.id = ANY ($2::uuid[])`,
    [tx.tenantId, ids],
  );
  return rows;
}

export type Vouched = 'settlement' | 'statement' | 'reversal' | 'revocation';

/** The first of what the log has to hold and does not: a numbered settlement, a statement, a reversal, a step of a revocation. */
export async function selectUnvouched(tx: TenantTransaction): Promise<{ about: Vouched; id: string } | null> {
  const entries = (kind: string, subject: string): string => `(SELECT count(*) FROM evidence_leaf l WHERE l.tenant_id = $1 AND l.subject_id = ${subject} AND l.kind = '${kind}')`;
  const { rows } = await tx.sql<{ about: Vouched; id: string }>(
    `SELECT about, id FROM (
       SELECT 1 AS place, 'settlement' AS about, s.id FROM settlement s WHERE s.tenant_id = $1 AND s.number IS NOT NULL AND ${entries('settlement-numbered', 's.id')} = 0
        UNION ALL
       SELECT 2, 'statement', t.settlement_id FROM statement t WHERE t.tenant_id = $1 AND ${entries('statement-issued', 't.settlement_id')} = 0
        UNION ALL
       SELECT 3, 'reversal', r.settlement_id FROM settlement_reversal r WHERE r.tenant_id = $1 AND ${entries('settlement-reversed', 'r.settlement_id')} = 0
        UNION ALL
       SELECT 4, 'revocation', v.id FROM signing_certificate_revocation v
        WHERE v.tenant_id = $1
          AND ${entries('certificate-revoked', 'v.id')} < 1 + (SELECT count(*) FROM signing_certificate_revocation_confirmation n WHERE n.tenant_id = $1 AND n.revocation_id = v.id)) missing
      ORDER BY place, id LIMIT 1`,
    [tx.tenantId],
  );
  return rows[0] ?? null;
}
