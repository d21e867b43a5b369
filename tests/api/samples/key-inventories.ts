import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';

type Place = { operator: TestOperator };

/** A count of a store of its own, as only one of all keys is open at a time. */
async function newInventory({ operator }: Place) {
  const books = keyBooks(operator);
  const storeId = await books.store();
  const copy = await books.copy({ cut: await books.cut({ class: 'cash-box' }), storeId, madeAt: '2026-01-02T08:00:00Z' });
  return { copyId: copy.id, storeId, body: { id: randomUUID(), cause: 'by-hand', storeId, reason: 'Asked for by the insurer' } };
}

async function madeInventory(place: Place) {
  const { copyId, storeId, body } = await newInventory(place);
  await place.operator.as('owner').post('/v1/key-inventories', body).expect(201);
  return { params: { id: body.id }, copyId, storeId };
}

export const samples: Samples = {
  'POST /v1/key-inventories': { prepare: async (place) => ({ body: (await newInventory(place)).body }) },
  'GET /v1/key-inventories/{id}': { prepare: async (place) => ({ params: (await madeInventory(place)).params }) },
  'POST /v1/key-inventories/{id}/seen': {
    prepare: async (place) => {
      const { params, copyId, storeId } = await madeInventory(place);
      return { params, body: { keyCopyIds: [copyId], at: { kind: 'store', id: storeId } } };
    },
  },
  // Whoever asks has no key here: the request is understood, and refused for that.
  'POST /v1/key-inventories/{id}/attest': {
    prepare: async (place) => {
      const { params, copyId } = await madeInventory(place);
      return { params, body: { keyCopyIds: [copyId] } };
    },
  },
  'POST /v1/key-inventories/{id}/surplus': { prepare: async (place) => ({ params: (await madeInventory(place)).params, body: { note: 'No number on it' } }) },
  'POST /v1/key-inventories/{id}/close': { prepare: async (place) => ({ params: (await madeInventory(place)).params, body: { reason: 'Nothing counted' } }) },
};
