import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeRunningSite, nextCode } from '#tests/support/set-up';

type Place = { operator: TestOperator };
const usd = (amount: string) => ({ amount, currency: 'USD' });
let seconds = 0;

/** A counted collection at a site of its own. */
async function collection({ operator }: Place): Promise<string> {
  const office = operator.as('owner');
  const { site, machine } = await makeRunningSite(office);
  seconds += 1;
  const happenedAt = new Date(Date.parse('2025-01-23T12:00:00Z') + seconds * 1000).toISOString();
  const { body } = await operator.as('collector').post('/v1/collections', { siteId: site.id, happenedAt, counts: [{ machineTag: machine['tag'], coin: usd('10.00'), note: usd('0.00') }] }).expect(201);
  return (body as { id: string }).id;
}

const bags = () => ({ bags: [{ number: nextCode('BAG'), seal: nextCode('SEAL') }] });

async function bag(place: Place): Promise<string> {
  // Filled by somebody who is not asked for the steps: whoever fills a bag neither receives nor opens it.
  const filler = await place.operator.newMember('collector');
  const { body } = await filler.post(`/v1/collections/${await collection(place)}/bags`, bags()).expect(201);
  const [first] = (body as { items: { id: string }[] }).items;
  if (first === undefined) throw new Error('no bag');
  return first.id;
}

const paidIn = () => ({ id: randomUUID(), kind: 'paid-in', movedOn: '2025-01-24', amount: usd('5.00') });

export const samples: Samples = {
  'GET /v1/cash-trail': { prepare: () => ({ query: { day: '2025-01-23' } }) },
  'GET /v1/bags': { prepare: () => ({ query: { day: '2025-01-23' } }) },
  'POST /v1/collections/{id}/bags': { prepare: async (place) => ({ params: { id: await collection(place) }, body: bags() }) },
  'POST /v1/bags/{id}/steps': { prepare: async (place) => ({ params: { id: await bag(place) }, body: { kind: 'received', seal: 'Any' } }) },
  'POST /v1/bags/{id}/corrections': { prepare: async (place) => ({ params: { id: await bag(place) }, body: { what: 'filled', seal: nextCode('SEAL'), reason: 'Read wrong' } }) },
  'POST /v1/change-funds': { prepare: async ({ operator, siteId }) => ({ body: { code: nextCode('FUND'), kind: 'changer', siteId: siteId ?? (await makeRunningSite(operator.as('owner'))).site.id } }) },
  'POST /v1/cash-moves': { prepare: () => ({ body: paidIn() }) },
  'POST /v1/cash-moves/{id}/taking-back': {
    prepare: async ({ operator }) => {
      const { body } = await operator.as('owner').post('/v1/cash-moves', paidIn()).expect(201);
      return { params: { id: (body as { id: string }).id }, body: { reason: 'Entered twice.' } };
    },
  },
  'POST /v1/cash-stocktakes': { prepare: () => ({ body: { place: 'counting-room', countedOn: '2025-01-24', counted: usd('5.00'), reason: 'Monthly count' } }) },
};
