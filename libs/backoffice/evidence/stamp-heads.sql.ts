import type { TenantTransaction } from '#database/tenant';
import type { Timestamp } from '#statement/sign/timestamp';

export type StampRow = {
  readonly size: bigint;
  readonly root: Buffer;
  readonly asked_on: string;
  readonly stamped_at: Date;
  readonly authority: string;
  readonly policy: string;
  readonly serial_number: string;
  readonly trusted: boolean;
  readonly token: Buffer;
};

const COLUMNS = 'size, root, asked_on, stamped_at, authority, policy, serial_number, trusted, token';

/** Stamps from the largest head down; `below` continues a list. */
export async function selectStamps(tx: TenantTransaction, query: { below: bigint | null; limit: number }): Promise<StampRow[]> {
  const { rows } = await tx.sql<StampRow>(
    `SELECT ${COLUMNS} FROM evidence_head_stamp WHERE tenant_id = $1 AND ($2::bigint IS NULL OR size < $2) ORDER BY size DESC LIMIT $3`,
    [tx.tenantId, query.below, query.limit],
  );
  return rows;
}

/** The head that went out by mail on a day. */
export async function selectSentOn(tx: TenantTransaction, day: string): Promise<{ size: bigint; root: Buffer } | undefined> {
  const { rows } = await tx.sql<{ size: bigint; root: Buffer }>('SELECT size, root FROM evidence_head_sent WHERE tenant_id = $1 AND sent_on = $2', [tx.tenantId, day]);
  return rows[0];
}

/** Two workers may have had the head of one day stamped; one token is kept. */
export async function insertStamp(
  tx: TenantTransaction,
  stamp: { size: bigint; root: Uint8Array; askedOn: string; timestamp: Timestamp; token: Uint8Array; now: Date },
): Promise<void> {
  const { timestamp } = stamp;
  await tx.sql(
    `INSERT INTO evidence_head_stamp (tenant_id, ${COLUMNS}, recorded_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) ON CONFLICT DO NOTHING`,
    [
      tx.tenantId, stamp.size, stamp.root, stamp.askedOn, timestamp.stampedAt, timestamp.authority, timestamp.policy, timestamp.serialNumber, timestamp.trusted,
      stamp.token, stamp.now,
    ],
  );
}
