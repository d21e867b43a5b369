import type { Advance } from '#contracts/advance';
import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { issuedAt } from './settlements';

type Place = { operator: TestOperator; siteId: string };

const usd = (amount: string) => ({ amount, currency: 'USD' });

async function advance(place: Place): Promise<object> {
  const { agreementId } = await issuedAt(place);
  return { agreementId, amount: usd('50.00'), method: 'bank', document: 'ADV-1', reason: 'A new counter.', givenOn: '2025-03-03' };
}

const onAdvance = (body?: object): Sample => ({
  prepare: async (place) => {
    const made = await place.operator.as('owner').post('/v1/advances', await advance(place)).expect(201);
    return { params: { id: made.body.id as string }, ...(body === undefined ? {} : { body }) };
  },
});

export const samples: Samples = {
  'POST /v1/advances': { prepare: async (place) => ({ body: await advance(place) }) },
  'GET /v1/advances/{id}': onAdvance(),
  'POST /v1/advances/{id}/pay-back': onAdvance({ amount: usd('5.00'), method: 'bank', paidOn: '2025-03-05' }),
  'POST /v1/advances/{id}/undo': {
    prepare: async (place) => {
      const made = await place.operator.as('owner').post('/v1/advances', await advance(place)).expect(201);
      const back = (await place.operator.as('owner').post(`/v1/advances/${made.body.id as string}/pay-back`, { amount: usd('5.00'), method: 'bank', paidOn: '2025-03-05' }).expect(200)).body as Advance;
      return { params: { id: back.id }, body: { reductionId: back.history.at(-1)?.reductionId, reason: 'Paid for another site.' } };
    },
  },
  'POST /v1/advances/{id}/write-off': onAdvance({ reason: 'The bar is gone.' }),
};
