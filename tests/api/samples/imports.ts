import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { makeRunningSite } from '#tests/support/set-up';

type Place = { operator: TestOperator };

/** A file without errors, different each time because its site is. */
async function goodFile({ operator }: Place): Promise<string> {
  const { site, machine } = await makeRunningSite(operator.as('owner'));
  return `site,collected_on,machine,coin\n${String(site['code'])},2025-03-03,${String(machine['tag'])},12.50\n`;
}

async function stagedFile(place: Place) {
  const text = await goodFile(place);
  const answer = await place.operator.as('owner').send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(text).expect(201);
  const { id, state, errorCounts } = answer.body as { id: string; state: string; errorCounts: object };
  if (state !== 'staged') throw new Error(`the sample file has errors: ${JSON.stringify(errorCounts)}`);
  return { params: { id } };
}

const staged: Sample = { prepare: stagedFile };

export const samples: Samples = {
  'POST /v1/imports': { prepare: async (place) => ({ body: { text: await goodFile(place) } }) },
  'GET /v1/imports/{id}': staged,
  'GET /v1/imports/{id}/errors': staged,
  'GET /v1/imports/{id}/warnings': staged,
  'POST /v1/imports/{id}/accept': staged,
  'POST /v1/imports/{id}/discard': staged,
};
