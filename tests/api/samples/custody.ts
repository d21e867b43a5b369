import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';
import { etag, makePerson, makeSite, nextCode, type Made } from '#tests/support/set-up';

type Place = { operator: TestOperator };

/** A copy in a store, and somebody who may be given it. */
async function copyInStore({ operator }: Place) {
  const books = keyBooks(operator);
  const cut = await books.cut({ class: 'cash-box' });
  const storeId = await books.store();
  const copy = await books.copy({ cut, storeId, madeAt: '2026-01-02T08:00:00Z' });
  const person = await makePerson(operator.as('owner'));
  return { cut, storeId, copy, personId: person.id };
}

async function issue(place: Place) {
  const { copy, storeId, personId } = await copyInStore(place);
  return { kind: 'issued', keyCopyIds: [copy.id], from: { kind: 'store', id: storeId }, to: { kind: 'person', id: personId }, reason: 'Route of the week' };
}

/** An access key that somebody of a site got, who has no account. */
async function issuedToSite(place: Place) {
  const office = place.operator.as('owner');
  const books = keyBooks(place.operator);
  const storeId = await books.store();
  const copy = await books.copy({ cut: await books.cut({ class: 'access' }), storeId, madeAt: '2026-01-02T08:00:00Z' });
  const site = await makeSite(office);
  const barkeeper = await makePerson(office, { employedBy: 'site', siteId: site.id });
  const body = { kind: 'issued', keyCopyIds: [copy.id], from: { kind: 'store', id: storeId }, to: { kind: 'person', id: barkeeper.id }, reason: 'For the bar' };
  const event = (await office.post('/v1/custody-events', body).expect(201)).body as Made;
  return { params: { id: event.id }, personId: barkeeper.id };
}

async function leaver({ operator }: Place) {
  const office = operator.as('owner');
  const person = await makePerson(office);
  await office.patch(`/v1/people/${person.id}`, { leftOn: '2026-01-31' }).set('If-Match', etag(person)).expect(200);
  return { params: { id: person.id } };
}

async function makeCopies({ operator }: Place) {
  const books = keyBooks(operator);
  const cut = await books.cut({ class: 'access' });
  return { keyCodeId: cut.id, numbers: [nextCode('N')], storeId: await books.store(), reason: 'Came with the lock' };
}

export const samples: Samples = {
  'POST /v1/custody-events': { prepare: async (place) => ({ body: await issue(place) }) },
  'GET /v1/custody-events/{id}': {
    prepare: async (place) => ({ params: { id: (await place.operator.as('owner').post('/v1/custody-events', await issue(place)).expect(201)).body.id as string } }),
  },
  'GET /v1/custody-events/{id}/receipt': { prepare: async (place) => ({ params: (await issuedToSite(place)).params }) },
  'POST /v1/custody-events/{id}/acknowledgements': { prepare: async (place) => ({ params: (await issuedToSite(place)).params, body: { side: 'receiver' } }) },
  'POST /v1/custody-events/{id}/denials': { prepare: async (place) => ({ params: (await issuedToSite(place)).params, body: { side: 'receiver' } }) },
  'POST /v1/custody-events/{id}/signatures': {
    prepare: async (place) => {
      const { params, personId } = await issuedToSite(place);
      return { params, body: { side: 'receiver', personId, name: 'B. Keeper', signature: { kind: 'typed', text: 'B. Keeper' } } };
    },
  },
  'POST /v1/custody-events/{id}/links': {
    prepare: async (place) => {
      const { params, personId } = await issuedToSite(place);
      return { params, body: { id: randomUUID(), side: 'receiver', personId } };
    },
  },
  'GET /v1/people/{id}/texts': { prepare: leaver },
  'POST /v1/people/{id}/erasure': { prepare: async (place) => ({ ...(await leaver(place)), body: { confirmed: [] } }) },
  'POST /v1/key-copies': { prepare: async (place) => ({ body: await makeCopies(place) }) },
  'GET /v1/key-copies/{id}': { prepare: async (place) => ({ params: { id: (await copyInStore(place)).copy.id } }) },
};
