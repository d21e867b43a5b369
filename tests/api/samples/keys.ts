import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { keyBooks } from '#tests/support/keys';
import { makeMachine, makePerson, makePlacement, makeSite, nextCode, type Made } from '#tests/support/set-up';
import { siteAt } from './set-up';

type Place = { operator: TestOperator; siteId: string };

const keyCode = () => ({ id: randomUUID(), code: nextCode('CUT'), class: 'cash-box', outsideCopies: false });
async function madeKeyCode({ operator }: Place) {
  const { id, revision } = (await operator.as('owner').post('/v1/key-codes', keyCode()).expect(201)).body as Made;
  return { params: { id }, revision };
}

const store = () => ({ id: randomUUID(), code: nextCode('SAFE'), name: 'Office safe', kind: 'safe' });
async function made({ operator }: Place, path: string, body: object) {
  const { id, revision } = (await operator.as('owner').post(path, body).expect(201)).body as Made;
  return { params: { id }, revision };
}

async function keyPlace(place: Place) {
  const siteId = await siteAt(place);
  const barkeeper = await makePerson(place.operator.as('owner'), { employedBy: 'site', siteId });
  return { id: randomUUID(), siteId, code: nextCode('HOOK'), name: 'Hook behind the bar', responsiblePersonId: barkeeper.id };
}

async function lock({ operator }: Place) {
  const office = operator.as('owner');
  const [site, machine, cut] = [await makeSite(office), await makeMachine(office), await keyBooks(operator).cut({ class: 'cash-box' })];
  await makePlacement(office, { machineId: machine.id, siteId: site.id });
  return { id: randomUUID(), machineId: machine.id, place: 'cash-door', opens: 'cash-box', keyCodeId: cut.id, fittedAt: '2026-02-01T09:00:00Z' };
}

const exception = async ({ operator }: Place) => ({ id: randomUUID(), siteId: (await makeSite(operator.as('owner'))).id, label: 'Own arcade', reason: 'The operator runs this site', reviewOn: '2026-12-31' });

export const samples: Samples = {
  'POST /v1/key-stores': { prepare: () => ({ body: store() }) },
  'GET /v1/key-stores/{id}': { prepare: (place) => made(place, '/v1/key-stores', store()) },
  'POST /v1/key-stores/{id}/custodian': {
    prepare: async (place) => ({ ...(await made(place, '/v1/key-stores', store())), body: { personId: (await makePerson(place.operator.as('owner'))).id } }),
  },
  'POST /v1/key-places': { prepare: async (place) => ({ body: await keyPlace(place) }) },
  'GET /v1/key-places/{id}': { prepare: async (place) => made(place, '/v1/key-places', await keyPlace(place)) },
  'PATCH /v1/key-places/{id}': { prepare: async (place) => ({ ...(await made(place, '/v1/key-places', await keyPlace(place))), body: { name: 'Key safe in the kitchen' } }) },
  'POST /v1/key-places/{id}/users': {
    prepare: async (place) => {
      const at = await keyPlace(place);
      return { ...(await made(place, '/v1/key-places', at)), body: { personId: at.responsiblePersonId } };
    },
  },
  'POST /v1/key-places/{id}/users/end': {
    prepare: async (place) => {
      const at = await keyPlace(place);
      const stored = await made(place, '/v1/key-places', at);
      await place.operator.as('owner').post(`/v1/key-places/${at.id}/users`, { personId: at.responsiblePersonId, from: '2026-01-02T09:00:00Z' }).expect(200);
      return { ...stored, body: { personId: at.responsiblePersonId } };
    },
  },
  'POST /v1/machine-locks': { prepare: async (place) => ({ body: await lock(place) }) },
  'POST /v1/machine-locks/batch': { prepare: async (place) => ({ body: { locks: [await lock(place)] } }) },
  'POST /v1/machine-locks/at-sites': {
    prepare: async (place) => {
      const cut = await keyBooks(place.operator).cut({ class: 'cash-box' });
      return { body: { siteIds: [(await makeSite(place.operator.as('owner'))).id], place: 'cash-door', opens: 'cash-box', keyCodeId: cut.id } };
    },
  },
  'GET /v1/machine-locks/{id}': { prepare: async (place) => made(place, '/v1/machine-locks', await lock(place)) },
  'POST /v1/machine-locks/{id}/removal': { prepare: async (place) => ({ ...(await made(place, '/v1/machine-locks', await lock(place))), body: { removedAt: '2026-03-01T09:00:00Z', reason: 'Worn out' } }) },
  'POST /v1/machine-locks/{id}/change': {
    prepare: async (place) => {
      const cut = await keyBooks(place.operator).cut({ class: 'cash-box' });
      return { ...(await made(place, '/v1/machine-locks', await lock(place))), body: { id: randomUUID(), keyCodeId: cut.id, changedAt: '2026-03-01T09:00:00Z', reason: 'Twelve months are over' } };
    },
  },
  'POST /v1/key-rings': { prepare: () => ({ body: { id: randomUUID(), code: nextCode('RING') } }) },
  'GET /v1/key-rings/{id}': { prepare: (place) => made(place, '/v1/key-rings', { code: nextCode('RING') }) },
  'POST /v1/key-rings/{id}/copies': {
    prepare: async (place) => {
      const books = keyBooks(place.operator);
      const copy = await books.copy({ cut: await books.cut({ class: 'cash-box' }), storeId: await books.store(), madeAt: '2026-01-02T08:00:00Z' });
      return { ...(await made(place, '/v1/key-rings', { code: nextCode('RING') })), body: { putOn: [copy.id] } };
    },
  },
  'POST /v1/key-exceptions': { prepare: async (place) => ({ body: await exception(place) }) },
  'POST /v1/key-exceptions/{id}/end': { prepare: async (place) => ({ ...(await made(place, '/v1/key-exceptions', { ...(await exception(place)), from: '2026-01-02T09:00:00Z' })), body: {} }) },
  'POST /v1/key-codes': { prepare: () => ({ body: keyCode() }) },
  'GET /v1/key-codes/{id}': { prepare: madeKeyCode },
  'PATCH /v1/key-codes/{id}': { prepare: async (place) => ({ ...(await madeKeyCode(place)), body: { outsideCopies: true } }) },
};
