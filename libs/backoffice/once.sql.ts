import { refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Once } from './caller';

/**
 * Takes the key for this transaction. `null`: the request is new, go on. Otherwise the answer: what the first request
 * got, or why this one cannot be taken. The lock ends with the transaction, so a crash leaves nothing behind, and a
 * request that fails leaves the key free for its correction.
 */
export async function claimOnce<Value>(tx: TenantTransaction, once: Once): Promise<Outcome<Value> | null> {
  const lock = await tx.sql<{ taken: boolean }>(
    `SELECT pg_try_advisory_xact_lock(hashtextextended('once:' || $1 || ':' || $2 || ':' || $3, 0)) AS taken`,
    [tx.tenantId, tx.actor, once.key],
  );
  if (lock.rows[0]?.taken !== true) return refused('request-in-flight', { retryAfterSeconds: 1 });
  const { rows } = await tx.sql<{ route: string; body_hash: Buffer; body: string }>(
    'SELECT route, body_hash, body FROM idempotency_record WHERE actor = $1 AND key = $2',
    [tx.actor, once.key],
  );
  const record = rows[0];
  if (record === undefined) return null;
  if (record.route !== once.route || !once.bodyDigests.some((digest) => record.body_hash.equals(digest))) return refused('idempotency-key-reused');
  return { ok: true, value: JSON.parse(record.body) as Value, replayed: true };
}

/** Keeps the answer in the same transaction as the effect: there is never one without the other. */
export async function rememberOnce(tx: TenantTransaction, input: { once: Once; value: unknown; now: Date }): Promise<void> {
  const { once, value, now } = input;
  await tx.sql(
    `INSERT INTO idempotency_record (tenant_id, actor, key, route, body_hash, status, body, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, tx.actor, once.key, once.route, once.bodyDigests[0], once.status, JSON.stringify(value ?? null), now],
  );
}

export async function deleteOldRecords(tx: TenantTransaction, before: Date): Promise<void> {
  await tx.sql('DELETE FROM idempotency_record WHERE created_at < $1', [before]);
}
