import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { nextCode, type Made } from '#tests/support/set-up';

type Place = { operator: TestOperator };

const keyCode = () => ({ id: randomUUID(), code: nextCode('CUT'), class: 'cash-box', outsideCopies: false });
async function madeKeyCode({ operator }: Place) {
  const { id, revision } = (await operator.as('owner').post('/v1/key-codes', keyCode()).expect(201)).body as Made;
  return { params: { id }, revision };
}

export const samples: Samples = {
  'POST /v1/key-codes': { prepare: () => ({ body: keyCode() }) },
  'GET /v1/key-codes/{id}': { prepare: madeKeyCode },
  'PATCH /v1/key-codes/{id}': { prepare: async (place) => ({ ...(await madeKeyCode(place)), body: { outsideCopies: true } }) },
};
