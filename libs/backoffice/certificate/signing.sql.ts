import type { TenantTransaction } from '#database/tenant';

export type CertificateRow = {
  readonly id: string;
  readonly certificate: Buffer;
  readonly chain: readonly Buffer[];
  readonly sealed_private_key: Buffer;
  readonly valid_to: Date;
};

/** The certificate that signs at a moment: of those still valid then, the last one put to use before it. */
export async function readSigningCertificate(tx: TenantTransaction, at: Date): Promise<CertificateRow | undefined> {
  const { rows } = await tx.sql<CertificateRow>(
    `SELECT id, certificate, chain, sealed_private_key, valid_to FROM signing_certificate
      WHERE tenant_id = $1 AND in_use_from <= $2 AND valid_to > $2 ORDER BY in_use_from DESC, id DESC LIMIT 1`,
    [tx.tenantId, at],
  );
  return rows[0];
}

/** Two workers may need the first certificate at once; the second waits here and finds it made. */
export async function lockCertificates(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('signing-certificate:' || $1, 0))`, [tx.tenantId]);
}

export async function insertSigningCertificate(
  tx: TenantTransaction,
  made: {
    id: string;
    source: 'made-here' | 'own';
    certificate: Uint8Array;
    chain: readonly Uint8Array[];
    fingerprint: Uint8Array;
    sealedPrivateKey: Buffer;
    validFrom: Date;
    validTo: Date;
    now: Date;
  },
): Promise<void> {
  await tx.sql(
    `INSERT INTO signing_certificate (tenant_id, id, source, certificate, chain, fingerprint, sealed_private_key, valid_from, valid_to, in_use_from)
     VALUES ($1, $2, $9, $3, $10, $4, $5, $6, $7, $8)`,
    [tx.tenantId, made.id, made.certificate, made.fingerprint, made.sealedPrivateKey, made.validFrom, made.validTo, made.now, made.source, made.chain],
  );
}

export type DataKeyRow = { readonly id: string; readonly wrapped_key: Buffer };

/** The operator's data key in use, and those before it, newest first. */
export async function readDataKeys(tx: TenantTransaction): Promise<DataKeyRow[]> {
  const { rows } = await tx.sql<DataKeyRow>(
    'SELECT id, wrapped_key FROM operator_data_key WHERE tenant_id = $1 ORDER BY retired_at DESC NULLS FIRST, created_at DESC',
    [tx.tenantId],
  );
  return rows;
}

export async function insertDataKey(tx: TenantTransaction, made: { id: string; wrappedKey: Buffer; masterKeyId: string; now: Date }): Promise<void> {
  await tx.sql(
    'INSERT INTO operator_data_key (tenant_id, id, wrapped_key, master_key_id, created_at) VALUES ($1, $2, $3, $4, $5)',
    [tx.tenantId, made.id, made.wrappedKey, made.masterKeyId, made.now],
  );
}

export type CertificateListRow = {
  readonly id: string;
  readonly source: 'made-here' | 'own';
  readonly certificate: Buffer;
  readonly fingerprint: Buffer;
  readonly valid_from: Date;
  readonly valid_to: Date;
  readonly in_use_from: Date;
};

/** All certificates, in the order in which the latest one put to use is the one that signs, while it is valid. */
export async function readCertificateRows(tx: TenantTransaction): Promise<CertificateListRow[]> {
  const { rows } = await tx.sql<CertificateListRow>(
    `SELECT id, source, certificate, fingerprint, valid_from, valid_to, in_use_from FROM signing_certificate
      WHERE tenant_id = $1 ORDER BY in_use_from DESC, id DESC`,
    [tx.tenantId],
  );
  return rows;
}
