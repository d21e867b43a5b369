import { done, refused, type Outcome } from '#contracts/outcome';
import type { ReplayWebhook, WebhookDelivery, WebhookReplayed } from '#contracts/webhook';
import { enqueue } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { WEBHOOKS_DUE } from './announce.sql';
import { bodyText, testBody } from './body';
import { holdWebhook } from './change';
import { insertTest, replayOne, replaySince, selectDelivery, selectWaitingTest } from './delivery.sql';
import { toDelivery } from './read';
import type { HeldWebhook } from './webhook.sql';

/** So that one request stays short; whoever has more repeats it. */
const MOST_REPLAYED = 10_000;

/** Sends a test to a webhook. While one waits to go out, it is that one. */
export async function testWebhook(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<WebhookDelivery>> {
  return perform<WebhookDelivery>(deps, caller, 'webhook.test', async ({ tx, now }) => {
    const found = await holdOn(tx, id);
    if (!found.ok) return found;
    const waiting = await selectWaitingTest(tx, id);
    const deliveryId = waiting ?? deps.newId();
    if (waiting === undefined) {
      const body = bodyText(testBody(id, { happenedAt: now, publicUrl: deps.publicUrl }));
      await insertTest(tx, { eventId: deps.newId(), deliveryId, webhookId: id, body, now });
    }
    await enqueue(tx, WEBHOOKS_DUE, {});
    return done(await presentDelivery(tx, deliveryId));
  });
}

/** Sends one delivery again, whatever became of it, under the same id; one that waits goes out at once. */
export async function replayDelivery(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<WebhookDelivery>> {
  return perform<WebhookDelivery>(deps, caller, 'webhook.replay', async ({ tx, now }) => {
    const row = await selectDelivery(tx, id);
    if (row === undefined) return refused('not-found');
    const found = await holdOn(tx, row.webhook_id);
    if (!found.ok) return found;
    await replayOne(tx, { id, now });
    await enqueue(tx, WEBHOOKS_DUE, {});
    return done(await presentDelivery(tx, id));
  });
}

/** Sends again what a webhook did not take since a moment, or all of it; at most 10,000 at a time, the oldest first. */
export async function replayWebhook(deps: Backoffice, caller: Caller, command: { readonly id: string } & ReplayWebhook): Promise<Outcome<WebhookReplayed>> {
  return perform<WebhookReplayed>(deps, caller, 'webhook.replay', async ({ tx, now }) => {
    const found = await holdOn(tx, command.id);
    if (!found.ok) return found;
    const states = ['failed', 'held', ...(command.delivered === true ? ['delivered'] : [])];
    const deliveries = await replaySince(tx, { webhookId: command.id, since: new Date(command.since), states, most: MOST_REPLAYED, now });
    if (deliveries > 0) await enqueue(tx, WEBHOOKS_DUE, {});
    return done({ deliveries });
  });
}

/** A webhook to which something can go. */
async function holdOn(tx: TenantTransaction, id: string): Promise<Outcome<HeldWebhook>> {
  const found = await holdWebhook(tx, id);
  if (found.ok && found.value.state !== 'on') return refused('wrong-state', { detail: 'It is switched off: switch it on first.' });
  return found;
}

async function presentDelivery(tx: TenantTransaction, id: string): Promise<WebhookDelivery> {
  const row = await selectDelivery(tx, id);
  if (row === undefined) throw new Error(`delivery ${id} is not there`);
  return toDelivery(row);
}
