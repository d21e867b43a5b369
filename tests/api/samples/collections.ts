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

/** While another collection of the site waits, who counts by role is not shown what was counted before. */
async function acceptTheOthers(place: Place): Promise<void> {
  const [office, machineTag] = [place.operator.as('owner'), await placedMachine(place)];
  const waitingIn = async (state: string): Promise<string[]> => {
    const { body } = await office.get(`/v1/collections?siteId=${place.siteId}&state=${state}&limit=200`).expect(200);
    return (body as { items: { id: string }[] }).items.map(({ id }) => id);
  };
  for (const id of await waitingIn('open')) await office.post(`/v1/collections/${id}/counts`, { counts: [{ machineTag, coin: usd('0.00'), note: usd('0.00') }] }).expect(200);
  for (const id of await waitingIn('counted')) {
    const { status, body } = await office.post(`/v1/collections/${id}/accept`);
    if (status === 200) continue;
    // Other samples read meters or counted at the machine only: the refusal names those boxes.
    const tags = [...(body as { detail: string }).detail.matchAll(/(\S+) at \S+ on /g)].map(([, tag]) => tag);
    await office.post(`/v1/collections/${id}/counts`, { counts: tags.map((tag) => ({ machineTag: tag, coin: usd('0.00'), note: usd('0.00') })) }).expect(200);
    await office.post(`/v1/collections/${id}/accept`).expect(200);
  }
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
  'POST /v1/collections/{id}/metered-amounts': {
    states: openFirst,
    prepare: async (place) => {
      const { id, machineTag } = await inState(place);
      return { params: { id }, body: { amounts: [{ machineTag, amount: usd('12.00') }] } };
    },
  },
  'POST /v1/collections/{id}/late-counts': {
    states: ['accepted', 'counted', 'open'],
    prepare: async (place) => {
      const { id, machineTag } = await inState(place);
      return { params: { id }, body: { machineTag, coin: usd('0.00'), note: usd('0.00'), reason: 'The bag never came.' } };
    },
  },
  'GET /v1/collections/{id}': {
    states: openFirst,
    prepare: async (place) => {
      if (place.state === 'accepted') await acceptTheOthers(place);
      return { params: { id: (await inState(place)).id } };
    },
  },
  'GET /v1/collections/{id}/bags': {
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
    // Of one that is counted the permission is for the room's count alone, and the route refuses it itself.
    states: ['open', 'accepted'],
    prepare: async (place) => {
      const made = await inState(place);
      const person = await makePerson(place.operator.as('owner'));
      return { params: { id: made.id }, body: { countedBy: person.id, counts: [{ machineTag: made.machineTag, coin: usd('10.00'), note: usd('0.00') }] } };
    },
  },
  'POST /v1/collections/{id}/field-count-corrections': {
    states: ['accepted'],
    prepare: async (place) => ({ params: { id: (await inState(place)).id }, body: { fieldCountId: randomUUID(), coin: usd('11.00'), note: usd('0.00'), reason: 'Counted again' } }),
  },
  'POST /v1/collections/{id}/accept': {
    states: countedFirst,
    prepare: async (place) => ({ params: { id: (await inState(place)).id } }),
  },
  'POST /v1/collections/accept': {
    states: countedFirst,
    prepare: async (place) => ({ body: { collectionIds: [(await inState(place)).id] } }),
  },
  'POST /v1/collections/{id}/discard': onCollection(['open', 'counted', 'accepted'], () => ({ reason: 'Entered for another site' })),
  'POST /v1/collections/{id}/corrections': onCollection(countedFirst, ({ countId }) => ({ id: randomUUID(), countId, coin: usd('11.00'), note: usd('0.00'), reason: 'Counted again' })),
  'POST /v1/collections/{id}/refund-slip-corrections': onCollection(countedFirst, ({ slipId }) => ({ id: randomUUID(), refundSlipId: slipId, amount: usd('1.50'), reason: 'Read again' })),
  'POST /v1/collections/{id}/cash-handed-corrections': onCollection(countedFirst, ({ handedId }) => ({ id: randomUUID(), cashHandedId: handedId, amount: usd('1.50'), reason: 'Read again' })),
};
