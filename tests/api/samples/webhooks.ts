import type { Webhook } from '#contracts/webhook';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';

const fields = { name: 'Accounting', url: 'https://books.example/in', eventTypes: ['settlement.issued'] };

/** An operator has few at once, so the one before makes room. */
async function webhookOf(operator: TestOperator): Promise<Webhook> {
  await operator.inBooks((tx) => tx.sql(`UPDATE webhook SET state = 'removed' WHERE tenant_id = $1`, [tx.tenantId]));
  return (await operator.as('owner').post('/v1/webhooks', fields).expect(201)).body as Webhook;
}

async function deliveryOf(operator: TestOperator): Promise<{ id: string }> {
  const { id } = await webhookOf(operator);
  return (await operator.as('owner').post(`/v1/webhooks/${id}/test`).expect(202)).body as { id: string };
}

const onWebhook = async ({ operator }: { operator: TestOperator }) => ({ params: { id: (await webhookOf(operator)).id } });
const onDelivery = async ({ operator }: { operator: TestOperator }) => ({ params: { id: (await deliveryOf(operator)).id } });

export const samples: Samples = {
  'POST /v1/webhooks': {
    prepare: async ({ operator }) => {
      await webhookOf(operator);
      return { body: fields };
    },
  },
  'GET /v1/webhooks/{id}': { prepare: onWebhook },
  'PATCH /v1/webhooks/{id}': {
    prepare: async ({ operator }) => {
      const { id, revision } = await webhookOf(operator);
      return { params: { id }, revision, body: { name: 'Warehouse' } };
    },
  },
  'DELETE /v1/webhooks/{id}': { prepare: onWebhook },
  'POST /v1/webhooks/{id}/rotate-secret': { prepare: async (place) => ({ ...(await onWebhook(place)), body: {} }) },
  'POST /v1/webhooks/{id}/test': { prepare: onWebhook },
  'POST /v1/webhooks/{id}/replay': { prepare: async (place) => ({ ...(await onWebhook(place)), body: { since: '2026-03-01T00:00:00Z' } }) },
  'GET /v1/webhooks/{id}/deliveries': { prepare: onWebhook },
  'GET /v1/webhook-deliveries/{id}': { prepare: onDelivery },
  'POST /v1/webhook-deliveries/{id}/replay': { prepare: onDelivery },
};
