import { randomUUID } from 'node:crypto';
import type { TestClient, TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeMachine, makePerson, makeRunningSite, makeSite } from '#tests/support/set-up';

const planned = async (operator: TestOperator) => {
  const office = operator.as('owner');
  const [site, collector] = [await makeSite(office), await makePerson(office)];
  return { name: 'Harbour', plannedOn: '2026-04-01', collectorId: collector.id, siteIds: [site.id] };
};
const round = async (operator: TestOperator) => (await operator.as('owner').post('/v1/rounds', await planned(operator)).expect(201)).body as { id: string; revision: number };

const register = async (client: TestClient) => (await client.post('/v1/devices', { name: 'Phone' }).expect(201)).body as { id: string; secret: string };

let sequence = 0;
/** A visit that is kept aside, because its site is none. */
const keptVisit = async (operator: TestOperator, maker = operator.as('owner')) => {
  const device = await register(maker);
  const id = randomUUID();
  sequence += 1;
  await maker.post('/v1/visits', { id, deviceId: device.id, deviceSecret: device.secret, sequence, visit: { siteId: 'nowhere' } }).expect(201);
  return id;
};

let seconds = 0;
const rightVisit = async (operator: TestOperator) => {
  const { site, machine } = await makeRunningSite(operator.as('owner'));
  seconds += 1;
  const happenedAt = new Date(Date.parse('2025-02-10T12:00:00Z') + seconds * 1000).toISOString();
  return { siteId: site.id, happenedAt, counts: [{ machineTag: machine['tag'], coin: { amount: '10.00', currency: 'USD' }, note: { amount: '0.00', currency: 'USD' } }] };
};

export const samples: Samples = {
  'GET /v1/rounds/{id}': { prepare: async ({ operator }) => ({ params: { id: (await round(operator)).id } }) },
  'POST /v1/rounds': { prepare: async ({ operator }) => ({ body: await planned(operator) }) },
  'PATCH /v1/rounds/{id}': {
    prepare: async ({ operator }) => {
      const { id, revision } = await round(operator);
      return { params: { id }, revision, body: { name: 'Old harbour' } };
    },
  },
  'POST /v1/rounds/{id}/cancel': { prepare: async ({ operator }) => ({ params: { id: (await round(operator)).id }, body: { reason: 'The van is broken.' } }) },
  'POST /v1/sites/{id}/collection-rhythm': { prepare: async ({ operator }) => ({ params: { id: (await makeSite(operator.as('owner'))).id }, body: { everyDays: 28 } }) },
  'POST /v1/machine-tokens': { prepare: async ({ operator }) => ({ body: { machineId: (await makeMachine(operator.as('owner'))).id } }) },
  'POST /v1/machine-tokens/{id}/revoke': {
    prepare: async ({ operator }) => {
      const { id: machineId } = await makeMachine(operator.as('owner'));
      return { params: { id: ((await operator.as('owner').post('/v1/machine-tokens', { machineId }).expect(201)).body as { id: string }).id } };
    },
  },
  'POST /v1/machine-faults/dismissals': {
    prepare: async ({ operator }) => {
      const { id: machineId, ...machine } = await makeMachine(operator.as('owner'));
      const { secret } = (await operator.as('owner').post('/v1/machine-tokens', { machineId }).expect(201)).body as { secret: string };
      const startedAt = '2026-03-24T09:00:00Z';
      await operator.as('owner').post('/v1/machine-reports', { machineTag: machine['tag'], events: [{ kind: 'fault', happenedAt: startedAt, fault: 'E-7' }] }).set('Authorization', `Bearer ${secret}`).expect(200);
      return { body: { machineId, kind: 'fault', fault: 'E-7', startedAt, reason: 'A loose contact.' } };
    },
  },
  'GET /v1/machines/{id}/reports': { prepare: async ({ operator }) => ({ params: { id: (await makeMachine(operator.as('owner'))).id } }) },
  'POST /v1/devices': { prepare: () => ({ body: { name: 'Phone' } }) },
  'POST /v1/devices/{id}/revoke': { prepare: async ({ operator }) => ({ params: { id: (await register(await operator.newMember('collector'))).id }, body: { reason: 'Left in a taxi.' } }) },
  'POST /v1/devices/{id}/release': {
    prepare: async ({ operator }) => {
      const { id } = await register(await operator.newMember('collector'));
      await operator.as('owner').post(`/v1/devices/${id}/revoke`, { reason: 'Left in a taxi.' }).expect(200);
      return { params: { id }, body: { reason: 'It was found.' } };
    },
  },
  'POST /v1/visits': {
    prepare: async ({ operator }) => {
      const device = await register(operator.as('owner'));
      return { body: { id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit: await rightVisit(operator) } };
    },
  },
  'POST /v1/paper-visits': {
    prepare: async ({ operator }) => ({ body: { collectedBy: (await makePerson(operator.as('owner'))).id, visit: await rightVisit(operator) } }),
  },
  'GET /v1/sites/{id}/boxes': { prepare: async ({ operator }) => ({ params: { id: (await makeSite(operator.as('owner'))).id } }) },
  'GET /v1/visits/{id}': { prepare: async ({ operator }) => ({ params: { id: await keptVisit(operator) } }) },
  'POST /v1/visits/{id}/enter': {
    prepare: async ({ operator }) => ({ params: { id: await keptVisit(operator) }, body: { visit: await rightVisit(operator), reason: 'The site is known by now.' } }),
  },
  'POST /v1/visits/{id}/withdraw': { prepare: async ({ operator }) => ({ params: { id: await keptVisit(operator, operator.as('collector')) }, body: { reason: 'Sent twice.' } }) },
  'POST /v1/visits/{id}/seen': {
    prepare: async ({ operator }) => {
      const id = await keptVisit(operator, operator.as('collector'));
      await operator.as('collector').post(`/v1/visits/${id}/withdraw`, { reason: 'Sent twice.' }).expect(200);
      return { params: { id } };
    },
  },
  'POST /v1/visits/{id}/discard': { prepare: async ({ operator }) => ({ params: { id: await keptVisit(operator, operator.as('collector')) }, body: { reason: 'Entered twice.' } }) },
};
