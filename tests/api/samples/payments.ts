import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { issuedAt } from './settlements';

type Place = { operator: TestOperator; siteId: string };

const usd = (amount: string) => ({ amount, currency: 'USD' });

/** On account, so that there is always room for one more. */
async function onAccount(place: Place): Promise<object> {
  const { agreementId } = await issuedAt(place);
  return { agreementId, amount: usd('1.00'), method: 'bank', reference: 'R-1', paidOn: '2025-03-03', onAccount: true };
}

const onPayment = (body?: object): Sample => ({
  prepare: async (place) => {
    const made = await place.operator.as('owner').post('/v1/payments', await onAccount(place)).expect(201);
    return { params: { id: made.body.id as string }, ...(body === undefined ? {} : { body }) };
  },
});

const onItem = (body?: object): Sample => ({
  prepare: async (place) => {
    const { id } = await issuedAt(place);
    const { items } = (await place.operator.as('owner').get(`/v1/open-items?settlementId=${id}`).expect(200)).body as { items: { id: string }[] };
    return { params: { id: items[0]?.id ?? '' }, ...(body === undefined ? {} : { body }) };
  },
});

export const samples: Samples = {
  'POST /v1/payments': { prepare: async (place) => ({ body: await onAccount(place) }) },
  'GET /v1/payments/{id}': onPayment(),
  'POST /v1/payments/{id}/match': onPayment({}),
  'POST /v1/payments/{id}/unmatch': onPayment({ note: 'Meant for another month.' }),
  'POST /v1/payments/{id}/put-on-account': onPayment({ note: 'For the next month.' }),
  'POST /v1/payments/{id}/return': onPayment({ returnedOn: '2025-03-05', reason: 'Account closed.' }),
  'GET /v1/open-items/ageing': { prepare: () => ({ query: { on: '2025-01-31' } }) },
  'GET /v1/open-items/ageing/export': { prepare: () => ({ query: { on: '2025-01-31' } }) },
  'GET /v1/open-items/{id}': onItem(),
  'POST /v1/open-items/{id}/write-off': onItem({ reason: 'Too small to go after.' }),
  'POST /v1/open-items/{id}/undo-write-off': onItem({ reason: 'It will be paid.' }),
  'POST /v1/open-items/{id}/hold': onItem({ note: 'The bar disputes a slip.' }),
  'POST /v1/open-items/{id}/release': onItem({ note: 'The slip was found.' }),
};
