import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeMachine, makePlacement } from '#tests/support/set-up';
import { siteUnderAgreement } from './agreements';

type Place = { operator: TestOperator; siteId: string; state: string | undefined };

const usd = (amount: string) => ({ amount, currency: 'USD' });

async function placedMachine(place: Place): Promise<string> {
  const office = place.operator.as('owner');
  const siteId = await siteUnderAgreement(place);
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  return machine['tag'] as string;
}

/** Recorded by a token of a machine interface, so that everybody in the office is a second person to it. */
async function gateway({ operator }: Place) {
  return operator.withToken({ role: 'bookkeeper', scopes: ['collect'] });
}

export const samples: Samples = {
  'POST /v1/cashless-takings': {
    prepare: async (place) => ({ body: { reports: [{ id: randomUUID(), machineTag: await placedMachine(place), localDate: '2025-01-10', gross: usd('10.00') }] } }),
  },
  'POST /v1/cashless-takings/file': {
    prepare: async (place) => ({ body: { text: `machine,day,gross\n${await placedMachine(place)},2025-01-10,12.50\n` } }),
  },
  'POST /v1/cashless-takings/{id}/corrections': {
    prepare: async (place) => {
      const id = randomUUID();
      const reports = [{ id, machineTag: await placedMachine(place), localDate: '2025-01-10', gross: usd('10.00') }];
      await (await gateway(place)).post('/v1/cashless-takings', { reports }).expect(201);
      return { params: { id }, body: { id: randomUUID(), gross: usd('11.00'), refunded: usd('0.00'), reason: 'Read again' } };
    },
  },
  'POST /v1/break-ins': {
    prepare: async (place) => ({ body: { id: randomUUID(), machineTag: await placedMachine(place), happenedOn: '2025-01-10', amount: usd('10.00'), note: 'Forced open' } }),
  },
  'POST /v1/break-ins/{id}/corrections': {
    prepare: async (place) => {
      const id = randomUUID();
      const record = { id, machineTag: await placedMachine(place), happenedOn: '2025-01-10', amount: usd('10.00'), note: 'Forced open' };
      await (await gateway(place)).post('/v1/break-ins', record).expect(201);
      return { params: { id }, body: { id: randomUUID(), amount: usd('11.00'), reason: 'Read again' } };
    },
  },
};
