import type { WebhookEventType } from '#contracts/webhook-event';
import type { TenantTransaction } from '#database/tenant';

export type WebhookRow = {
  readonly id: string;
  readonly name: string;
  readonly url: string;
  readonly event_types: WebhookEventType[];
  readonly state: 'on' | 'off' | 'removed';
  readonly off_reason: 'switched-off' | 'failing' | 'gone' | null;
  readonly waiting: number;
  readonly failed: number;
  readonly old_secret_ends_at: Date | null;
  readonly created_at: Date;
  readonly created_by: string;
  readonly changed_at: Date;
  readonly revision: number;
};

/** The operator's webhooks with what waits for each; one of them by its id. Removed ones come last, else by name. */
export async function selectWebhooks(tx: TenantTransaction, { id, now }: { readonly id: string | null; readonly now: Date }): Promise<WebhookRow[]> {
  const { rows } = await tx.sql<WebhookRow>(
    `SELECT w.id, w.name, w.url, w.event_types, w.state, w.off_reason, w.created_at, w.created_by, w.changed_at, w.revision, d.waiting, d.failed,
            (SELECT max(s.ends_at) FROM webhook_secret s WHERE s.tenant_id = $1 AND s.webhook_id = w.id AND s.ends_at > $3) AS old_secret_ends_at
       FROM webhook w
       CROSS JOIN LATERAL (
         SELECT count(*) FILTER (WHERE o.state IN ('waiting', 'sending'))::integer AS waiting, count(*) FILTER (WHERE o.state IN ('failed', 'held'))::integer AS failed
           FROM webhook_delivery o WHERE o.tenant_id = $1 AND o.webhook_id = w.id) d
      WHERE w.tenant_id = $1 AND ($2::uuid IS NULL OR w.id = $2)
      ORDER BY (w.state = 'removed'), w.name, w.id`,
    [tx.tenantId, id, now],
  );
  return rows;
}

/** Two that are made at once count each other. */
export async function lockWebhooks(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('webhooks:' || $1, 0))`, [tx.tenantId]);
}

export async function countWebhooks(tx: TenantTransaction): Promise<number> {
  const { rows } = await tx.sql<{ webhooks: bigint }>(`SELECT count(*) AS webhooks FROM webhook WHERE tenant_id = $1 AND state <> 'removed'`, [tx.tenantId]);
  return Number(rows[0]?.webhooks ?? 0n);
}

export async function insertWebhook(tx: TenantTransaction, made: { readonly id: string; readonly name: string; readonly url: string; readonly eventTypes: readonly string[]; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO webhook (tenant_id, id, name, url, event_types, changed_at, created_at, created_by) VALUES ($1, $2, $3, $4, $5, $6, $6, $7)`,
    [tx.tenantId, made.id, made.name, made.url, made.eventTypes, made.now, tx.actor],
  );
}

export type HeldWebhook = Pick<WebhookRow, 'id' | 'name' | 'url' | 'event_types' | 'state' | 'off_reason' | 'revision'>;

/** The webhook with its row held. */
export async function lockWebhook(tx: TenantTransaction, id: string): Promise<HeldWebhook | undefined> {
  const { rows } = await tx.sql<HeldWebhook>(`SELECT id, name, url, event_types, state, off_reason, revision FROM webhook WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0];
}

export async function updateWebhook(tx: TenantTransaction, changed: Omit<HeldWebhook, 'revision'> & { readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE webhook SET name = $3, url = $4, event_types = $5, state = $6, off_reason = $7, changed_at = $8 WHERE tenant_id = $1 AND id = $2`, [
    tx.tenantId,
    changed.id,
    changed.name,
    changed.url,
    changed.event_types,
    changed.state,
    changed.off_reason,
    changed.now,
  ]);
}

export async function insertSecret(
  tx: TenantTransaction,
  secret: { readonly id: string; readonly webhookId: string; readonly sealedSecret: Buffer; readonly dataKeyId: string; readonly now: Date },
): Promise<void> {
  await tx.sql(`INSERT INTO webhook_secret (tenant_id, id, webhook_id, sealed_secret, data_key_id, created_at, created_by) VALUES ($1, $2, $3, $4, $5, $6, $7)`, [
    tx.tenantId,
    secret.id,
    secret.webhookId,
    secret.sealedSecret,
    secret.dataKeyId,
    secret.now,
    tx.actor,
  ]);
}

/** Ends what it was signed with until now: at once with `endsAt` null, or at that moment. One that was ending already ends at once. */
export async function endSecrets(tx: TenantTransaction, { webhookId, endsAt }: { readonly webhookId: string; readonly endsAt: Date | null }): Promise<void> {
  await tx.sql('DELETE FROM webhook_secret WHERE tenant_id = $1 AND webhook_id = $2 AND (ends_at IS NOT NULL OR $3::timestamptz IS NULL)', [tx.tenantId, webhookId, endsAt]);
  await tx.sql('UPDATE webhook_secret SET ends_at = $3 WHERE tenant_id = $1 AND webhook_id = $2', [tx.tenantId, webhookId, endsAt]);
}

/** What a webhook was signed with before, once it does not hold any more. */
export async function clearEndedSecrets(tx: TenantTransaction, now: Date): Promise<void> {
  await tx.sql('DELETE FROM webhook_secret WHERE tenant_id = $1 AND ends_at < $2', [tx.tenantId, now]);
}
