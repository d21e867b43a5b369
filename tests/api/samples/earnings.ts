import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  'GET /v1/earnings/export': { prepare: async () => ({ query: { from: '2025-01-01', before: '2025-07-01' } }) },
  'GET /v1/earnings': { prepare: async () => ({ query: { from: '2025-01-01', before: '2025-07-01' } }) },
};
