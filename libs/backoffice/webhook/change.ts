import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { ChangeWebhook, RotateWebhookSecret, Webhook, WebhookWithSecret } from '#contracts/webhook';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { holdWaiting } from './deliver.sql';
import { sealSecret } from './secret';
import { newWebhookSecret } from './sign';
import { presentWebhook, wrongUrl, type WebhookReach } from './to-webhook';
import { endSecrets, insertSecret, lockWebhook, updateWebhook, type HeldWebhook } from './webhook.sql';

const HOUR_MS = 60 * 60 * 1000;
/** Long enough for somebody to put the new one in at the other end. */
const USUAL_OVERLAP_HOURS = 24;

type Changing = { readonly id: string; readonly expectedRevision: number; readonly change: ChangeWebhook };

/** Changes a webhook, or switches it off and on. What waits for one that is switched off is held until somebody replays it. */
export async function changeWebhook(deps: Backoffice & WebhookReach, caller: Caller, { id, expectedRevision, change }: Changing): Promise<Outcome<Webhook>> {
  return perform(deps, caller, 'webhook.change', async ({ tx, now }) => {
    const found = await holdWebhook(tx, id);
    if (!found.ok) return found;
    const before = found.value;
    if (before.revision !== expectedRevision) return refused('changed-meanwhile');
    const wrong = change.url === undefined ? [] : wrongUrl(deps, change.url);
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const state = change.state ?? before.state;
    const offReason = state === 'on' ? null : (before.off_reason ?? 'switched-off');
    await updateWebhook(tx, { id, name: change.name ?? before.name, url: change.url ?? before.url, event_types: change.eventTypes ?? before.event_types, state, off_reason: offReason, now });
    if (state === 'off') await holdWaiting(tx, { webhookId: id, now });
    return done(await presentWebhook(tx, { id, now }));
  });
}

/** Removes a webhook for good: nothing goes to it any more, and its secrets are gone. What was sent to it stays listed. */
export async function removeWebhook(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<null>> {
  return perform<null>(deps, caller, 'webhook.remove', async ({ tx, now }) => {
    const found = await holdWebhook(tx, id);
    if (!found.ok) return found;
    await updateWebhook(tx, { ...found.value, state: 'removed', off_reason: null, now });
    await holdWaiting(tx, { webhookId: id, now });
    await endSecrets(tx, { webhookId: id, endsAt: null });
    return done(null);
  });
}

/** Makes a new secret. Requests are signed under both until the old one ends, so that the receiver can change over in between. */
export async function rotateWebhookSecret(deps: Backoffice, caller: Caller, command: { readonly id: string } & RotateWebhookSecret): Promise<Outcome<WebhookWithSecret>> {
  return perform<WebhookWithSecret>(
    deps,
    caller,
    'webhook.rotate-secret',
    async ({ tx, now }) => {
      const { id, overlapHours = USUAL_OVERLAP_HOURS } = command;
      const found = await holdWebhook(tx, id);
      if (!found.ok) return found;
      await endSecrets(tx, { webhookId: id, endsAt: overlapHours === 0 ? null : new Date(now.getTime() + overlapHours * HOUR_MS) });
      const secret = newWebhookSecret();
      await insertSecret(tx, { id: deps.newId(), webhookId: id, ...(await sealSecret(deps, tx, secret)), now });
      return done({ ...(await presentWebhook(tx, { id, now })), secret });
    },
    { withoutSecrets: (webhook) => ({ ...webhook, secret: null }) },
  );
}

/** A webhook that is not removed, with its row held. */
export async function holdWebhook(tx: TenantTransaction, id: string): Promise<Outcome<HeldWebhook>> {
  const webhook = await lockWebhook(tx, id);
  if (webhook === undefined) return refused('not-found');
  return webhook.state === 'removed' ? refused('wrong-state', { detail: 'It was removed.' }) : done(webhook);
}
