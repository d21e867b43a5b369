import type { TenantTransaction } from '#database/tenant';

export type RevocationRow = {
  readonly id: string;
  readonly certificate_id: string;
  readonly revoked_from: Date;
  readonly reason: string;
  readonly recorded_at: Date;
  readonly recorded_by: string;
  readonly confirmed_at: Date | null;
  readonly confirmed_by: string | null;
};

/** Everything that was recorded, the latest first. */
export async function selectRevocations(tx: TenantTransaction, certificateId: string | null = null): Promise<RevocationRow[]> {
  const { rows } = await tx.sql<RevocationRow>(
    `SELECT r.id, r.certificate_id, r.revoked_from, r.reason, r.recorded_at, r.recorded_by, c.confirmed_at, c.confirmed_by
       FROM signing_certificate_revocation r
       LEFT JOIN signing_certificate_revocation_confirmation c ON c.tenant_id = r.tenant_id AND c.revocation_id = r.id
      WHERE r.tenant_id = $1 AND ($2::uuid IS NULL OR r.certificate_id = $2) ORDER BY r.recorded_at DESC, r.id DESC`,
    [tx.tenantId, certificateId],
  );
  return rows;
}

export async function isRevoked(tx: TenantTransaction, certificateId: string): Promise<boolean> {
  return (await selectRevocations(tx, certificateId)).length > 0;
}

export async function insertRevocation(tx: TenantTransaction, made: { id: string; certificateId: string; revokedFrom: Date; reason: string; now: Date }): Promise<void> {
  await tx.sql(
    'INSERT INTO signing_certificate_revocation (tenant_id, id, certificate_id, revoked_from, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7)',
    [tx.tenantId, made.id, made.certificateId, made.revokedFrom, made.reason, made.now, tx.actor],
  );
}

export async function insertConfirmation(tx: TenantTransaction, made: { revocationId: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO signing_certificate_revocation_confirmation (tenant_id, revocation_id, confirmed_at, confirmed_by) VALUES ($1, $2, $3, $4)', [
    tx.tenantId,
    made.revocationId,
    made.now,
    tx.actor,
  ]);
}

/** Of the certificate with this fingerprint: its id. */
export async function selectCertificateId(tx: TenantTransaction, fingerprint: Buffer): Promise<string | null> {
  const { rows } = await tx.sql<{ id: string }>('SELECT id FROM signing_certificate WHERE tenant_id = $1 AND fingerprint = $2', [tx.tenantId, fingerprint]);
  return rows[0]?.id ?? null;
}
