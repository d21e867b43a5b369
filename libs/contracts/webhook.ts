import { z } from 'zod';
import { idSchema, instantSchema, nameSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';
import { webhookEventTypes } from './webhook-event';

export const webhookEventTypeSchema = z.enum(webhookEventTypes).meta({ id: 'WebhookEventType' });

/** Credentials in an address end up in logs of proxies, and a fragment is never sent. */
const urlSchema = z
  .url({ protocol: /^https?$/, hostname: /./, abort: true })
  .max(2000)
  .refine((text) => new URL(text).username + new URL(text).password === '', { message: 'must not hold a user name or password: requests are signed instead', params: { code: 'holds-credentials' } })
  .refine((text) => !text.includes('#'), { message: 'must not hold a fragment', params: { code: 'holds-fragment' } })
  .describe('Where requests go: https, at a public address. The installation may allow networks of its own, by http too.');

const eventTypesSchema = z
  .array(webhookEventTypeSchema)
  .min(1)
  .refine((list) => new Set(list).size === list.length, 'names a kind twice');

const answerSchema = z.strictObject({
  status: z.int().nullable().describe('HTTP status; null where there was no answer.'),
  failure: z.string().nullable().describe('Why there was no answer: `address-not-allowed`, `name-unknown`, `not-reached`, `certificate-refused`, `timed-out`, `broken-off`.'),
});

export const webhookSchema = z
  .strictObject({
    id: idSchema,
    name: nameSchema,
    url: z.string(),
    eventTypes: z.array(webhookEventTypeSchema),
    state: z.enum(['on', 'off', 'removed']),
    offReason: z.enum(['switched-off', 'failing', 'gone']).nullable().describe('`failing`: nothing was taken for days; `gone`: its server answered 410.'),
    waiting: z.int().min(0).describe('Deliveries under way or to be tried again.'),
    failed: z.int().min(0).describe('Deliveries that were given up or held back, and not replayed since.'),
    oldSecretEndsAt: instantSchema.nullable().describe('Until then requests carry a signature under the old secret, too.'),
    createdAt: instantSchema,
    createdBy: z.string(),
    changedAt: instantSchema,
    revision: revisionSchema,
  })
  .meta({ id: 'Webhook' });
export type Webhook = z.infer<typeof webhookSchema>;

export const webhookListSchema = z.strictObject({ items: z.array(webhookSchema) }).describe('All of them, removed ones last.');

export const createWebhookSchema = z.strictObject({
  id: idSchema.optional(),
  name: nameSchema.describe('What listens there.'),
  url: urlSchema,
  eventTypes: eventTypesSchema,
});
export type CreateWebhook = z.infer<typeof createWebhookSchema>;

export const changeWebhookSchema = z.strictObject({ name: nameSchema, url: urlSchema, eventTypes: eventTypesSchema, state: z.enum(['on', 'off']) }).partial();
export type ChangeWebhook = z.infer<typeof changeWebhookSchema>;

export const webhookWithSecretSchema = webhookSchema
  .extend({ secret: z.string().nullable().describe('`whsec_` and the key in base64, shown this one time; null when the request is repeated.') })
  .meta({ id: 'WebhookWithSecret' });
export type WebhookWithSecret = z.infer<typeof webhookWithSecretSchema>;

export const rotateWebhookSecretSchema = z.strictObject({ overlapHours: z.int().min(0).max(168).optional().describe('For how long the old secret signs, too; 24 when left out, 0 where somebody else knows it.') });
export type RotateWebhookSecret = z.infer<typeof rotateWebhookSecretSchema>;

export const webhookDeliveryStateSchema = z
  .enum(['waiting', 'sending', 'delivered', 'failed', 'held'])
  .describe('`failed`: given up after the last attempt; `held`: the webhook was off, and it goes out when somebody replays it.')
  .meta({ id: 'WebhookDeliveryState' });

export const webhookDeliverySchema = z
  .strictObject({
    id: idSchema,
    webhookId: idSchema,
    eventId: idSchema.describe('Sent as `webhook-id`, at every attempt the same.'),
    type: z.string(),
    subjectId: idSchema.describe('What it is about, by the kind: settlement, collection, flag, report or case.'),
    happenedAt: instantSchema,
    state: webhookDeliveryStateSchema,
    attempts: z.int().min(0),
    dueAt: instantSchema.nullable().describe('The next attempt.'),
    last: answerSchema.nullable().describe('What came of the last attempt; null before there was one.'),
    changedAt: instantSchema,
  })
  .meta({ id: 'WebhookDelivery' });
export type WebhookDelivery = z.infer<typeof webhookDeliverySchema>;

export const webhookDeliveryListQuerySchema = pageQuerySchema.extend({ state: webhookDeliveryStateSchema.optional() });
export type WebhookDeliveryListQuery = z.infer<typeof webhookDeliveryListQuerySchema>;
export const webhookDeliveryPageSchema = pageSchema(webhookDeliverySchema);

export const webhookDeliveryDetailSchema = webhookDeliverySchema
  .extend({
    body: z.string().nullable().describe('The bytes that are sent; null until they are made.'),
    tries: z.array(answerSchema.extend({ number: z.int().min(1), begunAt: instantSchema, durationMs: z.int().min(0), answer: z.string().describe('First characters of the answer.') })),
  })
  .meta({ id: 'WebhookDeliveryDetail' });
export type WebhookDeliveryDetail = z.infer<typeof webhookDeliveryDetailSchema>;

export const replayWebhookSchema = z.strictObject({
  since: instantSchema.describe('Events from this moment on.'),
  delivered: z.boolean().optional().describe('Also those that were taken; left out, only those that were given up or held.'),
});
export type ReplayWebhook = z.infer<typeof replayWebhookSchema>;

export const webhookReplayedSchema = z.strictObject({ deliveries: z.int().min(0).describe('How many go out again.') }).meta({ id: 'WebhookReplayed' });
export type WebhookReplayed = z.infer<typeof webhookReplayedSchema>;
