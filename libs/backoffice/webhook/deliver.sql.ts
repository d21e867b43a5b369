import type { TenantTransaction } from '#database/tenant';
import type { WebhookFailure } from './post';

/** Longer than a request may take: whoever had it is dead. */
const LOST_MINUTES = 2;
/** Requests to one webhook at once: a slow one holds up itself and nobody else. */
const MOST_AT_ONE = 2;

/** Deliveries whose worker died are due again: whether the request arrived nobody knows, and its id tells the receiver. */
export async function reclaimLost(tx: TenantTransaction, now: Date): Promise<void> {
  await tx.sql(
    `UPDATE webhook_delivery SET state = 'waiting', due_at = $2, changed_at = $2
      WHERE tenant_id = $1 AND state = 'sending' AND changed_at < $2::timestamptz - interval '${LOST_MINUTES} minutes'`,
    [tx.tenantId, now],
  );
}

export async function isAnythingDue(tx: TenantTransaction, now: Date): Promise<boolean> {
  const { rows } = await tx.sql<{ due: boolean }>(
    `SELECT EXISTS (SELECT FROM webhook_event WHERE tenant_id = $1 AND body IS NULL)
         OR EXISTS (SELECT FROM webhook_delivery WHERE tenant_id = $1 AND state = 'waiting' AND due_at <= $2) AS due`,
    [tx.tenantId, now],
  );
  return rows[0]?.due ?? false;
}

export type DueDelivery = {
  readonly id: string;
  readonly webhook_id: string;
  readonly event_id: string;
  /** All attempts, this one included, and those of them that count for its pauses. */
  readonly attempts: number;
  readonly counted: number;
  readonly url: string;
  readonly body: string;
  /** The newest first. */
  readonly sealed_secrets: Buffer[];
};

/** Takes the delivery that is due longest, and writes that it is on its way before it is. */
export async function takeDelivery(tx: TenantTransaction, now: Date): Promise<DueDelivery | undefined> {
  const { rows } = await tx.sql<DueDelivery>(
    `WITH due AS (
       SELECT d.id FROM webhook_delivery d JOIN webhook w ON w.tenant_id = $1 AND w.id = d.webhook_id AND w.state = 'on'
        WHERE d.tenant_id = $1 AND d.state = 'waiting' AND d.due_at <= $2
          AND d.webhook_id <> ALL (ARRAY(SELECT o.webhook_id FROM webhook_delivery o WHERE o.tenant_id = $1 AND o.state = 'sending' GROUP BY o.webhook_id HAVING count(*) >= ${MOST_AT_ONE}))
        ORDER BY d.due_at, d.id LIMIT 1 FOR UPDATE OF d SKIP LOCKED),
     taken AS (
       UPDATE webhook_delivery d SET state = 'sending', attempts = d.attempts + 1, due_at = NULL, changed_at = $2 FROM due
        WHERE d.tenant_id = $1 AND d.id = due.id RETURNING d.id, d.webhook_id, d.event_id, d.attempts, d.attempts - d.asked_after AS counted)
     SELECT taken.*, w.url, e.body,
            ARRAY(SELECT s.sealed_secret FROM webhook_secret s WHERE s.tenant_id = $1 AND s.webhook_id = w.id AND (s.ends_at IS NULL OR s.ends_at > $2)
                   ORDER BY s.ends_at DESC NULLS FIRST, s.id DESC) AS sealed_secrets
       FROM taken JOIN webhook w ON w.tenant_id = $1 AND w.id = taken.webhook_id JOIN webhook_event e ON e.tenant_id = $1 AND e.id = taken.event_id`,
    [tx.tenantId, now],
  );
  return rows[0];
}

export type Attempt = {
  readonly deliveryId: string;
  readonly number: number;
  readonly begunAt: Date;
  readonly durationMs: number;
  readonly status: number | null;
  readonly failure: WebhookFailure | null;
  readonly answer: string;
};

export async function insertAttempt(tx: TenantTransaction, attempt: Attempt): Promise<void> {
  await tx.sql(
    `INSERT INTO webhook_attempt (tenant_id, delivery_id, number, begun_at, duration_ms, status, failure, answer) VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT DO NOTHING`,
    [tx.tenantId, attempt.deliveryId, attempt.number, attempt.begunAt, attempt.durationMs, attempt.status, attempt.failure, attempt.answer],
  );
}

/**
 * Writes what becomes of the delivery after an attempt; only that attempt's own worker does: one that was thought dead comes too late. What would be
 * tried again waits, held, where its webhook was switched off meanwhile.
 */
export async function noteDelivery(
  tx: TenantTransaction,
  noted: { readonly deliveryId: string; readonly number: number; readonly state: 'delivered' | 'failed' | 'waiting'; readonly dueAt: Date | null; readonly now: Date },
): Promise<boolean> {
  const { rowCount } = await tx.sql(
    `UPDATE webhook_delivery d
        SET state = CASE WHEN $4 = 'waiting' AND w.state <> 'on' THEN 'held' ELSE $4 END, due_at = CASE WHEN w.state = 'on' THEN $5::timestamptz END, changed_at = $6
       FROM webhook w
      WHERE d.tenant_id = $1 AND d.id = $2 AND d.attempts = $3 AND d.state = 'sending' AND w.tenant_id = $1 AND w.id = d.webhook_id`,
    [tx.tenantId, noted.deliveryId, noted.number, noted.state, noted.dueAt, noted.now],
  );
  return rowCount > 0;
}

/** Whether nothing was taken since a moment, though it was tried before it, and since somebody switched it on or changed it. */
export async function isFailingSince(tx: TenantTransaction, { webhookId, since }: { readonly webhookId: string; readonly since: Date }): Promise<boolean> {
  const { rows } = await tx.sql<{ failing: boolean | null }>(
    `SELECT min(a.begun_at) FILTER (WHERE a.begun_at > w.changed_at) <= $3 AND coalesce(max(a.begun_at) FILTER (WHERE a.status BETWEEN 200 AND 299) <= $3, true) AS failing
       FROM webhook w JOIN webhook_delivery d ON d.tenant_id = $1 AND d.webhook_id = w.id JOIN webhook_attempt a ON a.tenant_id = $1 AND a.delivery_id = d.id
      WHERE w.tenant_id = $1 AND w.id = $2`,
    [tx.tenantId, webhookId, since],
  );
  return rows[0]?.failing ?? false;
}

/** Switches a webhook off, and holds what waits for it. False when it was off already. */
export async function switchOff(tx: TenantTransaction, off: { readonly webhookId: string; readonly reason: 'failing' | 'gone'; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql(`UPDATE webhook SET state = 'off', off_reason = $3, changed_at = $4 WHERE tenant_id = $1 AND id = $2 AND state = 'on'`, [
    tx.tenantId,
    off.webhookId,
    off.reason,
    off.now,
  ]);
  if (rowCount > 0) await holdWaiting(tx, off);
  return rowCount > 0;
}

export async function holdWaiting(tx: TenantTransaction, { webhookId, now }: { readonly webhookId: string; readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE webhook_delivery SET state = 'held', due_at = NULL, changed_at = $3 WHERE tenant_id = $1 AND webhook_id = $2 AND state = 'waiting'`, [tx.tenantId, webhookId, now]);
}
