import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  'POST /v1/scale-checks': {
    prepare: async () => ({ body: { scale: 'Counting room', referenceGrams: '2000', shownGrams: '2000', happenedAt: '2025-01-10T12:00:00Z' } }),
  },
};
