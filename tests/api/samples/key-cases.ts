import type { KeyCase } from '#contracts/key-case';
import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';

type Place = { operator: TestOperator };

async function newCase({ operator }: Place) {
  const cut = await keyBooks(operator).cut({ class: 'cash-box' });
  return { keyCodeId: cut.id, surelyHeldUntil: '2026-03-01T08:00:00Z', reason: 'A dealer sold copies' };
}

async function madeCase(place: Place) {
  const made = (await place.operator.as('owner').post('/v1/key-cases', await newCase(place)).expect(201)).body as KeyCase;
  return { params: { id: made.id } };
}

export const samples: Samples = {
  'POST /v1/key-cases': { prepare: async (place) => ({ body: await newCase(place) }) },
  'GET /v1/key-cases/{id}': { prepare: madeCase },
  'POST /v1/key-cases/{id}/steps': {
    prepare: async (place) => ({ ...(await madeCase(place)), body: { kind: 'new-code', keyCodeId: (await keyBooks(place.operator).cut({ class: 'cash-box' })).id, note: 'Ordered today' } }),
  },
  'POST /v1/key-cases/{id}/close': { prepare: async (place) => ({ ...(await madeCase(place)), body: { reason: 'No lock takes it' } }) },
  'POST /v1/key-cases/{id}/end': { prepare: async (place) => ({ ...(await madeCase(place)), body: { reason: 'False alarm' } }) },
};
