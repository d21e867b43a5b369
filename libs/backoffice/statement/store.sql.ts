import type { TenantTransaction } from '#database/tenant';

/** Locks those that are still numbered: another worker may have issued some since they were read. */
export async function lockNumbered(tx: TenantTransaction, settlementIds: readonly string[]): Promise<Set<string>> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT id FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state = 'numbered' ORDER BY id FOR UPDATE`,
    [tx.tenantId, settlementIds],
  );
  return new Set(rows.map((row) => row.id));
}

export type StatementRow = {
  readonly settlementId: string;
  readonly certificateId: string;
  readonly pdf: Buffer;
  readonly pdfDigest: Buffer;
  readonly unsignedDigest: Buffer;
};

/** Each file as a parameter of its own: an array of files would be written out as text. */
export async function insertStatements(tx: TenantTransaction, written: { rows: readonly StatementRow[]; storedAt: Date }): Promise<void> {
  const values: unknown[] = [tx.tenantId, written.storedAt];
  const parameter = (value: unknown): string => `$${values.push(value)}`;
  const tuples = written.rows.map(
    (row) =>
      `($1::uuid, ${parameter(row.settlementId)}::uuid, ${parameter(row.certificateId)}::uuid, ${parameter(row.pdf)}::bytea, ` +
      `${parameter(row.pdfDigest)}::bytea, ${parameter(row.unsignedDigest)}::bytea, $2::timestamptz)`,
  );
  await tx.sql(`INSERT INTO statement (tenant_id, settlement_id, certificate_id, pdf, pdf_digest, unsigned_digest, stored_at) VALUES ${tuples.join(', ')}`, values);
}

export async function markIssued(tx: TenantTransaction, issued: { ids: readonly string[]; now: Date }): Promise<void> {
  await tx.sql(`UPDATE settlement SET state = 'issued', issued_at = $3 WHERE tenant_id = $1 AND id = ANY ($2::uuid[])`, [tx.tenantId, issued.ids, issued.now]);
}
