import { createHash } from 'node:crypto';
import type { TenantTransaction } from '#database/tenant';
import type { DataKey } from '../dependencies';

export type CertificateSource = 'made-here' | 'own' | 'elsewhere';

export type CertificateRow = {
  readonly id: string;
  readonly certificate: Buffer;
  readonly chain: readonly Buffer[];
  /** Null where the key lies elsewhere. */
  readonly sealed_private_key: Buffer | null;
  readonly valid_to: Date;
};

/** SQL: id of the certificate put to use last by a moment. One that was revoked before its time never came into use. $1 is the tenant. */
export const chosenCertificateId = (moment: string): string => `SELECT c.id FROM signing_certificate c
  WHERE c.tenant_id = $1 AND c.in_use_from <= ${moment}
    AND NOT EXISTS (SELECT FROM signing_certificate_revocation r WHERE r.tenant_id = $1 AND r.certificate_id = c.id AND r.recorded_at < c.in_use_from)
  ORDER BY c.in_use_from DESC, c.id DESC LIMIT 1`;

export type ChosenCertificateRow = CertificateRow & { readonly is_revoked: boolean };

/** The certificate that is to sign at a moment, whether it still can or not: the last one put to use by then. */
export async function readChosenCertificate(tx: TenantTransaction, at: Date): Promise<ChosenCertificateRow | undefined> {
  const { rows } = await tx.sql<ChosenCertificateRow>(
    `SELECT c.id, c.certificate, c.chain, c.sealed_private_key, c.valid_to,
            EXISTS (SELECT FROM signing_certificate_revocation r WHERE r.tenant_id = $1 AND r.certificate_id = c.id) AS is_revoked
       FROM signing_certificate c WHERE c.tenant_id = $1 AND c.id = (${chosenCertificateId('$2')})`,
    [tx.tenantId, at],
  );
  return rows[0];
}

/** When the oldest settlement was numbered that has no statement yet; null where all have theirs. */
export async function readOldestUnsigned(tx: TenantTransaction): Promise<Date | null> {
  const { rows } = await tx.sql<{ oldest: Date | null }>(`SELECT min(numbered_at) AS oldest FROM settlement WHERE tenant_id = $1 AND state = 'numbered'`, [tx.tenantId]);
  return rows[0]?.oldest ?? null;
}

/** When the next certificate is put to use that is brought already; null where there is none. */
export async function readNextInUse(tx: TenantTransaction, after: Date): Promise<Date | null> {
  const { rows } = await tx.sql<{ next: Date | null }>(
    `SELECT min(c.in_use_from) AS next FROM signing_certificate c
      WHERE c.tenant_id = $1 AND c.in_use_from > $2
        AND NOT EXISTS (SELECT FROM signing_certificate_revocation r WHERE r.tenant_id = $1 AND r.certificate_id = c.id)`,
    [tx.tenantId, after],
  );
  return rows[0]?.next ?? null;
}

/** Two workers may need the first certificate at once; the second waits here and finds it made. Whoever revokes one waits for statements that are just being stored. */
export async function lockCertificates(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('signing-certificate:' || $1, 0))`, [tx.tenantId]);
}

/** For whoever stores what was signed: from here to the end of the transaction nothing is revoked. */
export async function shareCertificates(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock_shared(hashtextextended('signing-certificate:' || $1, 0))`, [tx.tenantId]);
}

export async function insertSigningCertificate(
  tx: TenantTransaction,
  made: {
    id: string;
    source: CertificateSource;
    certificate: Uint8Array;
    chain: readonly Uint8Array[];
    sealedPrivateKey: Buffer | null;
    validFrom: Date;
    validTo: Date;
    inUseFrom: Date;
  },
): Promise<void> {
  await tx.sql(
    `INSERT INTO signing_certificate (tenant_id, id, source, certificate, chain, fingerprint, sealed_private_key, valid_from, valid_to, in_use_from)
     VALUES ($1, $2, $9, $3, $10, $4, $5, $6, $7, $8)`,
    [tx.tenantId, made.id, made.certificate, createHash('sha256').update(made.certificate).digest(), made.sealedPrivateKey, made.validFrom, made.validTo, made.inUseFrom, made.source, made.chain],
  );
}

/** The operator's data key in use, and those before it, newest first. */
export async function readDataKeys(tx: TenantTransaction): Promise<DataKey[]> {
  const { rows } = await tx.sql<DataKey>(
    'SELECT id, wrapped_key AS "wrappedKey" FROM operator_data_key WHERE tenant_id = $1 ORDER BY retired_at DESC NULLS FIRST, created_at DESC',
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
  readonly source: CertificateSource;
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
