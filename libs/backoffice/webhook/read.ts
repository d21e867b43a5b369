import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Webhook, WebhookDelivery, WebhookDeliveryDetail, WebhookDeliveryListQuery } from '#contracts/webhook';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectAttempts, selectDeliveries, selectDelivery, type DeliveryRow } from './delivery.sql';
import { toWebhook } from './to-webhook';
import { selectWebhooks } from './webhook.sql';

/** The operator's webhooks; removed ones last. */
export async function listWebhooks(deps: Backoffice, caller: Caller): Promise<Outcome<{ items: Webhook[] }>> {
  return perform(deps, caller, 'webhook.read', async ({ tx, now }) => done({ items: (await selectWebhooks(tx, { id: null, now })).map(toWebhook) }));
}

export async function readWebhook(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<Webhook>> {
  return perform(deps, caller, 'webhook.read', async ({ tx, now }) => {
    const [row] = await selectWebhooks(tx, { id, now });
    return row === undefined ? refused('not-found') : done(toWebhook(row));
  });
}

const cursorSchema = z.tuple([z.uuid()]);

/** What was sent to a webhook and is still kept, and what waits for it, the newest first. */
export async function listDeliveries(deps: Backoffice, caller: Caller, query: { readonly id: string } & WebhookDeliveryListQuery): Promise<Outcome<Page<WebhookDelivery>>> {
  return perform(deps, caller, 'webhook.read', async ({ tx, now }) => {
    const before = decodeCursor(query.cursor, cursorSchema);
    if (before === 'invalid') return refused('invalid-cursor');
    if ((await selectWebhooks(tx, { id: query.id, now })).length === 0) return refused('not-found');
    const rows = await selectDeliveries(tx, { webhookId: query.id, state: query.state ?? null, before: before?.[0] ?? null, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: toDelivery, keyOf: (row) => [row.id] }));
  });
}

/** One delivery with its body and every attempt. */
export async function readDelivery(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<WebhookDeliveryDetail>> {
  return perform(deps, caller, 'webhook.read', async ({ tx }) => {
    const row = await selectDelivery(tx, id);
    return row === undefined ? refused('not-found') : done(await deliveryDetail(tx, row));
  });
}

export function toDelivery(row: DeliveryRow): WebhookDelivery {
  return {
    id: row.id,
    webhookId: row.webhook_id,
    eventId: row.event_id,
    type: row.type,
    subjectId: row.subject_id,
    happenedAt: formatInstant(row.happened_at),
    state: row.state,
    attempts: row.attempts,
    dueAt: row.due_at && formatInstant(row.due_at),
    last: row.last_number === null ? null : { status: row.last_status, failure: row.last_failure },
    changedAt: formatInstant(row.changed_at),
  };
}

export async function deliveryDetail(tx: TenantTransaction, row: DeliveryRow): Promise<WebhookDeliveryDetail> {
  const tries = await selectAttempts(tx, row.id);
  return {
    ...toDelivery(row),
    body: row.body,
    tries: tries.map((each) => ({ number: each.number, begunAt: formatInstant(each.begun_at), durationMs: each.duration_ms, status: each.status, failure: each.failure, answer: each.answer })),
  };
}
