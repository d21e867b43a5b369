import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { CreateWebhook, WebhookWithSecret } from '#contracts/webhook';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { sealSecret } from './secret';
import { newWebhookSecret } from './sign';
import { presentWebhook, webhookConstraints, wrongUrl, type WebhookReach } from './to-webhook';
import { countWebhooks, insertSecret, insertWebhook, lockWebhooks } from './webhook.sql';

/** Each event goes to every one that wants it, so they are few. */
export const MOST_WEBHOOKS = 10;

/** Makes a webhook. Its secret is in this answer and nowhere else in clear. It is told of what happens from now on. */
export async function createWebhook(deps: Backoffice & WebhookReach, caller: Caller, command: CreateWebhook): Promise<Outcome<WebhookWithSecret>> {
  return perform<WebhookWithSecret>(
    deps,
    caller,
    'webhook.create',
    async ({ tx, now }) => {
      const wrong = wrongUrl(deps, command.url);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await lockWebhooks(tx);
      if ((await countWebhooks(tx)) >= MOST_WEBHOOKS) return refused('webhook-limit', { detail: `There are ${MOST_WEBHOOKS} already.` });
      const id = command.id ?? deps.newId();
      await insertWebhook(tx, { id, name: command.name, url: command.url, eventTypes: command.eventTypes, now });
      const secret = newWebhookSecret();
      await insertSecret(tx, { id: deps.newId(), webhookId: id, ...(await sealSecret(deps, tx, secret)), now });
      return done({ ...(await presentWebhook(tx, { id, now })), secret });
    },
    { constraints: webhookConstraints, withoutSecrets: (webhook) => ({ ...webhook, secret: null }) },
  );
}
