import type { TestOperator } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import type { Samples } from '#tests/support/samples';

type Place = { operator: TestOperator };

async function madeCopy({ operator }: Place) {
  const books = keyBooks(operator);
  const cut = await books.cut({ class: 'cash-box' });
  return books.copy({ cut, storeId: await books.store(), madeAt: '2026-01-02T08:00:00Z' });
}

export const samples: Samples = {
  'GET /v1/key-copies/{id}/reach': { prepare: async (place) => ({ params: { id: (await madeCopy(place)).id } }) },
  'GET /v1/key-codes/{id}/reach': { prepare: async (place) => ({ params: { id: (await madeCopy(place)).keyCodeId } }) },
};
