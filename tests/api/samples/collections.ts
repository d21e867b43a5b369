import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { makeMachine, makePerson, makePlacement } from '#tests/support/set-up';
import { siteUnderAgreement } from './agreements';

type Place = { operator: TestOperator; siteId: string; state: string | undefined };

const usd = (amount: string) => ({ amount, currency: 'USD' });

let seconds = 0;
/** A moment of January 2025, when the samples' first agreement holds; each is given out once. */
function moment(): string {
  seconds += 1;
  return new Date(Date.parse('2025-01-10T12:00:00Z') + seconds * 1000).toISOString();
}

async function placedMachine(place: Place): Promise<string> {
  const office = place.operator.as('owner');
  const siteId = await siteUnderAgreement(place);
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  return machine['tag'] as string;
}

/** Recorded by a collector, so that everybody in the office is a second person to it. */
async function inState(place: Place): Promise<{ id: string; revision: number; countId: string; slipId: string; handedId: string; machineTag: string }> {
  const machineTag = await placedMachine(place);
  const counts = place.state === 'open' ? [] : [{ machineTag, coin: usd('10.00'), note: usd('0.00') }];
  const refunds = place.state === 'open' ? [] : [{ machineTag, refundedOn: '2025-01-09', amount: usd('1.00') }];
  const cashHanded = place.state === 'open' ? [] : [{ amount: usd('2.00') }];
  const collector = place.operator.as('collector');
  let { body } = await collector.post('/v1/collections', { siteId: place.siteId, happenedAt: moment(), counts, refunds, cashHanded }).expect(201);
  if (place.state === 'accepted') ({ body } = await place.operator.as('owner').post(`/v1/collections/${body.id as string}/accept`).expect(200));
  const made = body as { id: string; revision: number; counts: { id: string }[]; refundSlips: { id: string }[]; cashHanded: { id: string }[] };
  const idOf = (figures: { id: string }[]): string => figures[0]?.id ?? randomUUID();
  return { id: made.id, revision: made.revision, countId: idOf(made.counts), slipId: idOf(made.refundSlips), handedId: idOf(made.cashHanded), machineTag };
}

// The first is one in which the route does something.
const openFirst = ['open', 'counted', 'accepted'];
const countedFirst = ['counted', 'accepted', 'open'];
const onCollection = (states: readonly string[], body: (made: Awaited<ReturnType<typeof inState>>) => object): Sample => ({
  states,
  prepare: async (place) => {
    const made = await inState(place);
    return { params: { id: made.id }, revision: made.revision, body: body(made) };
  },
});

export const samples: Samples = {
  'GET /v1/collections/{id}': {
    states: openFirst,
    prepare: async (place) => ({ params: { id: (await inState(place)).id } }),
  },
  'POST /v1/collections': {
    prepare: async (place) => {
      const machineTag = await placedMachine(place);
      return { body: { id: randomUUID(), siteId: place.siteId, happenedAt: moment(), counts: [{ machineTag, coin: usd('10.00'), note: usd('0.00') }] } };
    },
  },
  'POST /v1/collections/{id}/counts': onCollection(openFirst, ({ machineTag }) => ({ counts: [{ machineTag, coin: usd('10.00'), note: usd('0.00') }] })),
  'GET /v1/collections/{id}/field-counts': {
    states: ['accepted', 'counted', 'open'],
    prepare: async (place) => ({ params: { id: (await inState(place)).id } }),
  },
  'POST /v1/collections/{id}/field-counts': {
    states: openFirst,
    prepare: async (place) => {
      const made = await inState(place);
      const person = await makePerson(place.operator.as('owner'));
      return { params: { id: made.id }, body: { countedBy: person.id, counts: [{ machineTag: made.machineTag, coin: usd('10.00'), note: usd('0.00') }] } };
    },
  },
  'POST /v1/collections/{id}/accept': {
    states: countedFirst,
    prepare: async (place) => ({ params: { id: (await inState(place)).id } }),
  },
  'POST /v1/collections/accept': {
    states: countedFirst,
    prepare: async (place) => ({ body: { collectionIds: [(await inState(place)).id] } }),
  },
  'POST /v1/collections/{id}/corrections': onCollection(countedFirst, ({ countId }) => ({ id: randomUUID(), countId, coin: usd('11.00'), note: usd('0.00'), reason: 'Counted again' })),
  'POST /v1/collections/{id}/refund-slip-corrections': onCollection(countedFirst, ({ slipId }) => ({ id: randomUUID(), refundSlipId: slipId, amount: usd('1.50'), reason: 'Read again' })),
  'POST /v1/collections/{id}/cash-handed-corrections': onCollection(countedFirst, ({ handedId }) => ({ id: randomUUID(), cashHandedId: handedId, amount: usd('1.50'), reason: 'Read again' })),
};
