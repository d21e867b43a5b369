import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';
import { makeCollection } from '#tests/support/collecting';
import { makeMachine, makePerson, makeRunningSite } from '#tests/support/set-up';

type Place = { operator: TestOperator };

async function madeCopy({ operator }: Place) {
  const books = keyBooks(operator);
  const cut = await books.cut({ class: 'cash-box' });
  return books.copy({ cut, storeId: await books.store(), madeAt: '2026-01-02T08:00:00Z' });
}

const ofCopy = { prepare: async (place: Place) => ({ params: { id: (await madeCopy(place)).id } }) };
const ofPerson = { prepare: async ({ operator }: Place) => ({ params: { id: (await makePerson(operator.as('owner'))).id } }) };
const ofMachine = { prepare: async ({ operator }: Place) => ({ params: { id: (await makeMachine(operator.as('owner'))).id } }) };

async function madeCollection({ operator }: Place) {
  const { site } = await makeRunningSite(operator.as('owner'));
  return { params: { id: (await makeCollection(operator.as('owner'), site, [])).id } };
}

export const samples: Samples = {
  'GET /v1/collections/{id}/key-check': { prepare: madeCollection },
  'POST /v1/collections/{id}/key-holder': {
    prepare: async (place) => ({ ...(await madeCollection(place)), body: { keyHolderId: (await makePerson(place.operator.as('owner'))).id, reason: 'She had the key' } }),
  },
  'GET /v1/people/{id}/keys': ofPerson,
  'GET /v1/people/{id}/keys/export': ofPerson,
  'GET /v1/machines/{id}/openers': ofMachine,
  'GET /v1/machines/{id}/openers/export': ofMachine,
  'GET /v1/key-copies/{id}/custody': ofCopy,
  'GET /v1/key-copies/{id}/custody/export': ofCopy,
  'GET /v1/key-copies/{id}/reach': ofCopy,
  'GET /v1/key-copies/{id}/reach/export': ofCopy,
  'GET /v1/key-codes/{id}/reach': { prepare: async (place) => ({ params: { id: (await madeCopy(place)).keyCodeId } }) },
};
