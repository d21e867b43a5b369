import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import { boardFields, fitBoard } from '#tests/support/metering';
import type { Samples } from '#tests/support/samples';
import { makeMachine, makePlacement } from '#tests/support/set-up';
import { siteUnderAgreement } from './agreements';

const machineWithBoard = async (operator: TestOperator) => {
  const { id: machineId } = await makeMachine(operator.as('owner'));
  return { machineId, ...(await fitBoard(operator.as('owner'), machineId)) };
};

const outage = async (operator: TestOperator, reporter: 'owner' | 'collector' = 'owner') => {
  const { id: machineId } = await makeMachine(operator.as('owner'));
  return (await operator.as(reporter).post('/v1/outages', { machineId, startedAt: '2025-02-01T12:00:00Z', cause: 'Coin jam' }).expect(201)).body.id as string;
};

let seconds = 0;

/** A collection at which the meter of a machine was not read, of a moment of its own. */
async function unreadAt(place: Parameters<typeof siteUnderAgreement>[0]): Promise<{ id: string; meterId: string }> {
  const office = place.operator.as('owner');
  const siteId = await siteUnderAgreement(place);
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: '2025-01-02T12:00:00Z' });
  seconds += 1;
  const counts = [{ machineTag: machine['tag'], coin: { amount: '1.00', currency: 'USD' }, note: { amount: '0.00', currency: 'USD' } }];
  const { body } = await place.operator.as('collector').post('/v1/collections', { siteId, happenedAt: new Date(Date.parse('2025-01-14T12:00:00Z') + seconds * 1000).toISOString(), counts }).expect(201);
  return { id: (body as { id: string }).id, meterId };
}

export const samples: Samples = {
  'POST /v1/collections/{id}/unread-meters': {
    prepare: async (place) => {
      const { id, meterId } = await unreadAt(place);
      return { params: { id }, body: { meters: [{ meterId, why: 'display-dark' }] } };
    },
  },
  'GET /v1/machines/{id}/counter-boards': { prepare: async ({ operator }) => ({ params: { id: (await machineWithBoard(operator)).machineId } }) },
  'POST /v1/machines/{id}/counter-boards': {
    prepare: async ({ operator }) => ({ params: { id: (await makeMachine(operator.as('owner'))).id }, body: { ...boardFields(), fittedAt: '2025-02-01T12:00:00Z' } }),
  },
  'POST /v1/counter-boards/{id}/removal': {
    prepare: async ({ operator }) => {
      const { boardId, meterId } = await machineWithBoard(operator);
      return { params: { id: boardId }, body: { removedAt: '2025-02-03T12:00:00Z', readings: [{ meterId, value: '130' }] } };
    },
  },
  'GET /v1/machines/{id}/meter-readings': { prepare: async ({ operator }) => ({ params: { id: (await machineWithBoard(operator)).machineId } }) },
  'POST /v1/machines/{id}/meter-readings': {
    prepare: async ({ operator }) => {
      const { machineId, meterId } = await machineWithBoard(operator);
      return { params: { id: machineId }, body: { happenedAt: '2025-02-03T12:00:00Z', occasion: 'out-of-service', readings: [{ meterId, value: '130' }] } };
    },
  },
  'POST /v1/meter-readings/{id}/corrections': {
    prepare: async ({ operator }) => {
      const { machineId, meterId } = await machineWithBoard(operator);
      const id = randomUUID();
      const reading = { happenedAt: '2025-02-03T12:00:00Z', occasion: 'out-of-service', readings: [{ id, meterId, value: '130' }] };
      await operator.as('collector').post(`/v1/machines/${machineId}/meter-readings`, reading).expect(201);
      return { params: { id }, body: { value: '131', reason: 'The last digit was half turned.' } };
    },
  },
  'GET /v1/machines/{id}/meter-prices': { prepare: async ({ operator }) => ({ params: { id: (await machineWithBoard(operator)).machineId } }) },
  // Changed by the collector, who read the meter then: somebody else corrects it.
  'POST /v1/machines/{id}/meter-prices/corrections': {
    prepare: async ({ operator }) => {
      const { machineId, meterId } = await machineWithBoard(operator);
      const changedAt = '2025-02-03T12:00:00Z';
      const change = { happenedAt: changedAt, occasion: 'price-change', readings: [{ meterId, value: '130' }], newUnitValues: [{ meterId, unitValue: { amount: '5.00', currency: 'USD' } }] };
      await operator.as('collector').post(`/v1/machines/${machineId}/meter-readings`, change).expect(201);
      return { params: { id: machineId }, body: { changedAt, unitValues: [{ meterId, unitValue: { amount: '0.50', currency: 'USD' } }], reason: 'A slip of the key.' } };
    },
  },
  'GET /v1/machines/{id}/board-openings': { prepare: async ({ operator }) => ({ params: { id: (await machineWithBoard(operator)).machineId } }) },
  'POST /v1/machines/{id}/board-openings': { prepare: async ({ operator }) => ({ params: { id: (await machineWithBoard(operator)).machineId }, body: { openedAt: '2025-02-03T12:00:00Z', why: 'display-dark' } }) },
  'POST /v1/board-openings/{id}/taking-back': {
    prepare: async ({ operator }) => {
      const { machineId } = await machineWithBoard(operator);
      const { body } = await operator.as('owner').post(`/v1/machines/${machineId}/board-openings`, { openedAt: '2025-02-03T12:00:00Z', why: 'display-dark' }).expect(201);
      return { params: { id: (body as { id: string }).id }, body: { reason: 'It was the machine next door.' } };
    },
  },
  'POST /v1/outages': { prepare: async ({ operator }) => ({ body: { machineId: (await makeMachine(operator.as('owner'))).id, startedAt: '2025-02-01T12:00:00Z', cause: 'Coin jam' } }) },
  'POST /v1/outages/{id}/taking-back': { prepare: async ({ operator }) => ({ params: { id: await outage(operator) }, body: { reason: 'It was the machine next door.' } }) },
  // Reported by the collector: somebody else confirms it.
  'POST /v1/outages/{id}/confirmation': { prepare: async ({ operator }) => ({ params: { id: await outage(operator, 'collector') } }) },
  'POST /v1/outages/{id}/end': { prepare: async ({ operator }) => ({ params: { id: await outage(operator) }, body: { endedAt: '2025-02-02T12:00:00Z', remedy: 'Cleared the coin path.' } }) },
};
