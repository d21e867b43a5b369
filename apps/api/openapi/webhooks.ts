import { webhookBodySchema, webhookEventSummaries } from '#contracts/webhook-event';
import type { z } from 'zod';

type Json = { [key: string]: unknown };

/** What other programs are sent, in the words of OpenAPI 3.1: a request per kind of event, to the address that an owner gave. */
export function webhookRequests(toSchema: (schema: z.ZodType, io: 'output') => Json): Json {
  return Object.fromEntries(
    webhookBodySchema.options.map((schema) => {
      const type = schema.shape.type.value;
      return [type, { post: { operationId: `told-${type}`, tags: ['webhooks'], summary: webhookEventSummaries[type], parameters: headers, requestBody: { required: true, content: { 'application/json': { schema: toSchema(schema, 'output') } } }, responses } }];
    }),
  );
}

const header = (name: string, description: string) => ({ name, in: 'header', required: true, description, schema: { type: 'string' } });

const headers = [
  header('webhook-id', 'Of the event, at every attempt the same: who keeps it acts on no event twice.'),
  header('webhook-timestamp', 'When this attempt was sent, in seconds since 1970. Refuse what is more than five minutes off.'),
  header('webhook-signature', 'Signatures with a blank between, one per secret: `v1,` and the HMAC-SHA256, in base64, of `webhook-id`, `webhook-timestamp` and the body as it came, with full stops between (Standard Webhooks 1.0.0). One that fits is enough.'),
];

const responses = {
  '2XX': { description: 'Taken. Answer at once and work afterwards: after 20 seconds it counts as not taken.' },
  '410': { description: 'Nothing is received here any more: the webhook is switched off.' },
  default: {
    description:
      'Not taken, a redirect included, which is not followed. It is tried again after 1, 5 and 30 minutes, 2, 4, 8 and 9 hours, later where `Retry-After` says so, then given up; an owner can send it again for as long as it is kept, 60 days unless they decided otherwise. Events come in no certain order.',
  },
};
