import type { WebhookDelivery } from '#contracts/webhook';
import type { TenantTransaction } from '#database/tenant';

export type DeliveryRow = {
  readonly id: string;
  readonly webhook_id: string;
  readonly event_id: string;
  readonly type: string;
  readonly subject_id: string;
  readonly happened_at: Date;
  readonly state: WebhookDelivery['state'];
  readonly attempts: number;
  readonly due_at: Date | null;
  readonly changed_at: Date;
  readonly body: string | null;
  /** Of the last attempt that came to an end. */
  readonly last_number: number | null;
  readonly last_status: number | null;
  readonly last_failure: string | null;
};

const deliveries = `
  SELECT d.id, d.webhook_id, d.event_id, e.type, e.subject_id, e.happened_at, d.state, d.attempts, d.due_at, d.changed_at, e.body,
         last.number AS last_number, last.status AS last_status, last.failure AS last_failure
    FROM webhook_delivery d JOIN webhook_event e ON e.tenant_id = $1 AND e.id = d.event_id
    LEFT JOIN LATERAL (
      SELECT a.number, a.status, a.failure FROM webhook_attempt a WHERE a.tenant_id = $1 AND a.delivery_id = d.id ORDER BY a.number DESC LIMIT 1) last ON true
   WHERE d.tenant_id = $1`;

export async function selectDelivery(tx: TenantTransaction, id: string): Promise<DeliveryRow | undefined> {
  const { rows } = await tx.sql<DeliveryRow>(`${deliveries} AND d.id = $2`, [tx.tenantId, id]);
  return rows[0];
}

/** The newest first; one more than the page holds. */
export async function selectDeliveries(
  tx: TenantTransaction,
  list: { readonly webhookId: string; readonly state: string | null; readonly before: string | null; readonly limit: number },
): Promise<DeliveryRow[]> {
  const { rows } = await tx.sql<DeliveryRow>(
    `${deliveries} AND d.webhook_id = $2 AND ($3::text IS NULL OR d.state = $3) AND ($4::uuid IS NULL OR d.id < $4) ORDER BY d.id DESC LIMIT $5`,
    [tx.tenantId, list.webhookId, list.state, list.before, list.limit + 1],
  );
  return rows;
}

export type AttemptRow = {
  readonly number: number;
  readonly begun_at: Date;
  readonly duration_ms: number;
  readonly status: number | null;
  readonly failure: string | null;
  readonly answer: string;
};

export async function selectAttempts(tx: TenantTransaction, deliveryId: string): Promise<AttemptRow[]> {
  const { rows } = await tx.sql<AttemptRow>(
    'SELECT number, begun_at, duration_ms, status, failure, answer FROM webhook_attempt WHERE tenant_id = $1 AND delivery_id = $2 ORDER BY number',
    [tx.tenantId, deliveryId],
  );
  return rows;
}

/** A test that waits still, so that a second one is not needed. */
export async function selectWaitingTest(tx: TenantTransaction, webhookId: string): Promise<string | undefined> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT d.id FROM webhook_delivery d JOIN webhook_event e ON e.tenant_id = $1 AND e.id = d.event_id
      WHERE d.tenant_id = $1 AND d.webhook_id = $2 AND e.type = 'webhook.test' AND d.state IN ('waiting', 'sending') AND d.attempts = 0 LIMIT 1`,
    [tx.tenantId, webhookId],
  );
  return rows[0]?.id;
}

export async function insertTest(
  tx: TenantTransaction,
  made: { readonly eventId: string; readonly deliveryId: string; readonly webhookId: string; readonly body: string; readonly now: Date },
): Promise<void> {
  await tx.sql(`INSERT INTO webhook_event (tenant_id, id, type, subject_id, cause_id, happened_at, body) VALUES ($1, $2, 'webhook.test', $3, $2, $4, $5)`, [
    tx.tenantId,
    made.eventId,
    made.webhookId,
    made.now,
    made.body,
  ]);
  await tx.sql(`INSERT INTO webhook_delivery (tenant_id, id, event_id, webhook_id, state, due_at, changed_at) VALUES ($1, $2, $3, $4, 'waiting', $5, $5)`, [
    tx.tenantId,
    made.deliveryId,
    made.eventId,
    made.webhookId,
    made.now,
  ]);
}

/** Lets one go out again, or sooner where it waits. One that is under way is left alone. */
export async function replayOne(tx: TenantTransaction, { id, now }: { readonly id: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE webhook_delivery SET asked_after = CASE WHEN state = 'waiting' THEN asked_after ELSE attempts END, state = 'waiting', due_at = $3, changed_at = $3
      WHERE tenant_id = $1 AND id = $2 AND state <> 'sending'`,
    [tx.tenantId, id, now],
  );
}

/** Lets those of a webhook go out again whose events happened since a moment, the oldest first, and says how many. */
export async function replaySince(
  tx: TenantTransaction,
  replayed: { readonly webhookId: string; readonly since: Date; readonly states: readonly string[]; readonly most: number; readonly now: Date },
): Promise<number> {
  const { rowCount } = await tx.sql(
    `UPDATE webhook_delivery d SET asked_after = d.attempts, state = 'waiting', due_at = $5, changed_at = $5
      WHERE d.tenant_id = $1 AND d.id IN (
        SELECT o.id FROM webhook_delivery o JOIN webhook_event e ON e.tenant_id = $1 AND e.id = o.event_id
         WHERE o.tenant_id = $1 AND o.webhook_id = $2 AND o.state = ANY ($4::text[]) AND e.happened_at >= $3
         ORDER BY e.happened_at, o.id LIMIT $6 FOR UPDATE OF o)`,
    [tx.tenantId, replayed.webhookId, replayed.since, replayed.states, replayed.now, replayed.most],
  );
  return rowCount;
}
