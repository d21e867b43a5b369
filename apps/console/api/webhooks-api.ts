import * as sdk from '../generated';
import type { ChangeWebhookData, CreateWebhookData, ListWebhookDeliveriesData, ReplayWebhookData } from '../generated';
import { once, type Base } from './client';
import type { Webhook } from './shapes';

type DeliveryState = NonNullable<NonNullable<ListWebhookDeliveriesData['query']>['state']>;

/** Other programs of the operator that are told what happens. */
export function webhooksApi(base: Base) {
  return {
    webhooks: async (signal: AbortSignal) => (await sdk.listWebhooks({ ...base, signal })).data.items,
    webhook: async (id: string, signal: AbortSignal | null = null) => (await sdk.readWebhook({ ...base, signal, path: { id } })).data,
    makeWebhook: async (body: CreateWebhookData['body'], key: string) => (await sdk.createWebhook({ ...base, ...once(key), body })).data,
    changeWebhook: async ({ id, revision }: Webhook, body: ChangeWebhookData['body']) => (await sdk.changeWebhook({ ...base, headers: { 'If-Match': `"${revision}"` }, path: { id }, body })).data,
    removeWebhook: async (id: string) => {
      await sdk.removeWebhook({ ...base, path: { id } });
    },
    rotateWebhookSecret: async (id: string, overlapHours: number, key: string) => (await sdk.rotateWebhookSecret({ ...base, ...once(key), path: { id }, body: { overlapHours } })).data,
    testWebhook: async (id: string, key: string) => (await sdk.testWebhook({ ...base, ...once(key), path: { id } })).data,
    replayWebhook: async (id: string, body: ReplayWebhookData['body'], key: string) => (await sdk.replayWebhook({ ...base, ...once(key), path: { id }, body })).data,
    webhookDeliveries: async ({ id, state }: { readonly id: string; readonly state: DeliveryState | null }, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listWebhookDeliveries({ ...base, signal, path: { id }, query: { limit: 50, ...(state === null ? {} : { state }), ...(cursor === null ? {} : { cursor }) } })).data,
    webhookDelivery: async (id: string, signal: AbortSignal) => (await sdk.readWebhookDelivery({ ...base, signal, path: { id } })).data,
    replayWebhookDelivery: async (id: string, key: string) => (await sdk.replayWebhookDelivery({ ...base, ...once(key), path: { id } })).data,
  };
}
