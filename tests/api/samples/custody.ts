import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';
import { makePerson, nextCode } from '#tests/support/set-up';

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
  'POST /v1/key-copies': { prepare: async (place) => ({ body: await makeCopies(place) }) },
  'GET /v1/key-copies/{id}': { prepare: async (place) => ({ params: { id: (await copyInStore(place)).copy.id } }) },
};
