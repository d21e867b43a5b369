import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  'GET /v1/search': { prepare: async () => ({ query: { text: 'a b' } }) },
};
