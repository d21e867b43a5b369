import { randomUUID } from 'node:crypto';
import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  'POST /v1/retention': { prepare: async () => ({ body: { id: randomUUID(), kind: 'imports', keep: 400, reason: 'Our adviser looks at them once a year' } }) },
  'POST /v1/retention/holds': { prepare: async () => ({ body: { id: randomUUID(), reason: 'The auditors come in May' } }) },
  'POST /v1/retention/holds/{id}/lift': {
    prepare: async ({ operator }) => {
      const id = randomUUID();
      await operator.as('owner').post('/v1/retention/holds', { id, reason: 'The auditors come in May' }).expect(201);
      return { params: { id }, body: { reason: 'The auditors have gone' } };
    },
  },
};
