import { randomUUID } from 'node:crypto';
import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  'POST /v1/policy': {
    prepare: async () => ({
      body: { id: randomUUID(), directHandOver: false, acknowledgeWithinHours: 24, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: null, reason: 'Keys are confirmed the same day' },
    }),
  },
};
