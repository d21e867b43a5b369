import type { Samples } from '#tests/support/samples';
import { makeParty } from '#tests/support/set-up';

export const samples: Samples = {
  'GET /v1/year-end': { prepare: () => ({ query: { year: '2025' } }) },
  'GET /v1/year-end/export': { prepare: () => ({ query: { year: '2025' } }) },
  'POST /v1/taxpayer-numbers': { prepare: async ({ operator }) => ({ body: { partyId: (await makeParty(operator.as('owner'))).id, number: '12-3456789' } }) },
};
