import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeMachine, makePlacement, makeRunningSite } from '#tests/support/set-up';

type Place = { operator: TestOperator; state: string | undefined };

const usd = (amount: string) => ({ amount, currency: 'USD' });
let seconds = 0;

const sites = new Map<string, Promise<string>>();

/** A site of its own: nobody who is to see what was expected counts there, and its flags stand in the way of no other sample. */
function quietSite({ operator }: Place): Promise<string> {
  const known = sites.get(operator.tenantId) ?? makeRunningSite(operator.as('owner')).then(({ site }) => site.id);
  sites.set(operator.tenantId, known);
  return known;
}

/** A count of a fresh machine that misses most of what its meters say. */
async function flagged(place: Place): Promise<{ id: string; machineId: string; collectionId: string }> {
  const siteId = await quietSite(place);
  const office = place.operator.as('owner');
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  seconds += 1;
  const happenedAt = new Date(Date.parse('2025-01-22T12:00:00Z') + seconds * 1000).toISOString();
  const counts = [{ machineTag: machine['tag'], coin: usd('10.00'), note: usd('0.00'), meteredAmount: usd('100.00') }];
  const made = await place.operator.as('collector').post('/v1/collections', { siteId, happenedAt, counts }).expect(201);
  await office.post(`/v1/collections/${made.body.id as string}/accept`).expect(200);
  const { body } = await place.operator.as('auditor').get(`/v1/variances?month=2025-01&siteId=${siteId}`).expect(200);
  const flag = (body as { flags: { id: string; machineId: string; collectionId: string }[] }).flags.find((each) => each.machineId === machine.id);
  if (flag === undefined) throw new Error('nothing was flagged');
  if (place.state === 'explained') await office.post(`/v1/variance-flags/${flag.id}/explanation`, explanation).expect(200);
  return flag;
}

const explanation = { cause: 'not-found', evidence: 'Counted twice.' };

export const samples: Samples = {
  'GET /v1/variances': { prepare: () => ({ query: { month: '2025-01' } }) },
  'GET /v1/variances/attribution': { prepare: () => ({ query: { from: '2025-01-01', to: '2025-01-31' } }) },
  'GET /v1/variances/report': { prepare: () => ({ query: { by: 'site', from: '2025-01-01', to: '2025-01-31' } }) },
  'GET /v1/variances/report/export': { prepare: () => ({ query: { by: 'collector', from: '2025-01-01', to: '2025-01-31' } }) },
  'GET /v1/collections/{id}/variances': { prepare: async (place) => ({ params: { id: (await flagged(place)).collectionId } }) },
  'GET /v1/machines/{id}/variances': { prepare: async (place) => ({ params: { id: (await flagged(place)).machineId } }) },
  'GET /v1/variance-flags': { prepare: () => ({ query: { state: 'open' } }) },
  'GET /v1/variance-flags/{id}': { prepare: async (place) => ({ params: { id: (await flagged(place)).id } }) },
  'POST /v1/variance-flags/{id}/explanation': {
    states: ['open', 'explained'],
    prepare: async (place) => ({ params: { id: (await flagged(place)).id }, body: explanation }),
  },
  'POST /v1/tolerance-rule-sets': {
    prepare: () => ({ body: { id: randomUUID(), name: 'Strict', currency: 'USD', effectiveOn: '2030-01-01', amount: usd('10.00'), joinedBy: 'or', percentOf: 'counted', outWhen: 'at-least' } }),
  },
};
