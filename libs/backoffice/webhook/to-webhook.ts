import { formatInstant } from '#contracts/format';
import type { WrongField } from '#contracts/outcome';
import type { Webhook } from '#contracts/webhook';
import type { TenantTransaction } from '#database/tenant';
import type { PerformOptions } from '../perform';
import { taken } from '../refusal';
import { onlyRow } from '../rows';
import { selectWebhooks, type WebhookRow } from './webhook.sql';

/** What this installation says of an address before anything is sent to it; a name is looked up only then, each time. */
export type WebhookReach = { readonly whyUnreachable: (url: string) => 'not-https' | 'not-public' | null };

const unreachableWords = {
  'not-https': 'must begin with https: this installation allows http to no network',
  'not-public': 'is no public address, and this installation allows webhooks into no network that holds it',
} as const;

export function wrongUrl({ whyUnreachable }: WebhookReach, url: string): WrongField[] {
  const code = whyUnreachable(url);
  return code === null ? [] : [{ path: ['url'], code, message: unreachableWords[code] }];
}

/** A stored webhook as the API shows it. */
export function toWebhook(row: WebhookRow): Webhook {
  return {
    id: row.id,
    name: row.name,
    url: row.url,
    eventTypes: row.event_types,
    state: row.state,
    offReason: row.off_reason,
    waiting: row.waiting,
    failed: row.failed,
    oldSecretEndsAt: row.old_secret_ends_at && formatInstant(row.old_secret_ends_at),
    createdAt: formatInstant(row.created_at),
    createdBy: row.created_by,
    changedAt: formatInstant(row.changed_at),
    revision: row.revision,
  };
}

export async function presentWebhook(tx: TenantTransaction, { id, now }: { readonly id: string; readonly now: Date }): Promise<Webhook> {
  return toWebhook(onlyRow(await selectWebhooks(tx, { id, now })));
}

export const webhookConstraints: NonNullable<PerformOptions<unknown>['constraints']> = { webhook_pkey: taken(['id'], 'a webhook with this id') };
