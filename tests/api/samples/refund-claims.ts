import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeMachine, makePlacement } from '#tests/support/set-up';
import { siteUnderAgreement } from './agreements';

type Place = { operator: TestOperator; siteId: string; state: string | undefined };
const amount = { amount: '1.00', currency: 'USD' };

let seconds = 0;
async function claimFields(place: Place) {
  const office = place.operator.as('owner');
  const siteId = await siteUnderAgreement(place);
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  return { id: randomUUID(), siteId, machineTag: machine['tag'] as string, refundedOn: '2025-01-09', amount, reason: 'Coin stuck' };
}

async function inState(place: Place): Promise<{ params: { id: string } }> {
  const office = place.operator.as('owner');
  const fields = await claimFields(place);
  const { id } = (await office.post('/v1/refund-claims', fields).expect(201)).body as { id: string };
  const { siteId, machineTag, refundedOn } = fields;
  if (place.state === 'refused') await office.post(`/v1/refund-claims/${id}/refusal`, { reason: 'No slip came' }).expect(200);
  if (place.state === 'withdrawn') await office.post(`/v1/refund-claims/${id}/withdrawal`).expect(200);
  if (place.state === 'taken-over') {
    seconds += 1;
    const happenedAt = new Date(Date.parse('2025-01-20T12:00:00Z') + seconds * 1000).toISOString();
    await office.post('/v1/collections', { siteId, happenedAt, counts: [{ machineTag, coin: amount, note: { ...amount, amount: '0.00' } }], refunds: [{ machineTag, refundedOn, amount, claimId: id }] }).expect(201);
  }
  return { params: { id } };
}

const states = ['open', 'taken-over', 'refused', 'withdrawn'];
export const samples: Samples = {
  'POST /v1/refund-claims': { prepare: async (place) => ({ body: await claimFields(place) }) },
  'POST /v1/refund-claims/{id}/refusal': { states, prepare: async (place) => ({ ...(await inState(place)), body: { reason: 'No slip came' } }) },
  'POST /v1/refund-claims/{id}/withdrawal': { states, prepare: inState },
};
