import type { TestClient, TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { makeParty } from '#tests/support/set-up';

export const IBAN = 'DE89370400440532013000';
const account = { kind: 'iban', holderName: 'Harbor Bar', iban: IBAN, bic: 'COBADEFFXXX' };

/** Somebody of the office who is none of the people whom the access tests ask: nobody confirms what they proposed themselves. */
const proposers = new Map<string, Promise<TestClient>>();

function proposerAt(operator: TestOperator): Promise<TestClient> {
  const known = proposers.get(operator.tenantId) ?? operator.newMember('bookkeeper');
  proposers.set(operator.tenantId, known);
  return known;
}

async function proposal(operator: TestOperator): Promise<object> {
  return { partyId: (await makeParty(operator.as('owner'))).id, account, reason: 'Letter of the owner.' };
}

async function proposed(operator: TestOperator): Promise<string> {
  const made = await (await proposerAt(operator)).post('/v1/bank-details', await proposal(operator)).expect(201);
  return made.body.id as string;
}

const onProposal = (body: object): Sample => ({ prepare: async ({ operator }) => ({ params: { id: await proposed(operator) }, body }) });

export const samples: Samples = {
  'POST /v1/bank-details': { prepare: async ({ operator }) => ({ body: await proposal(operator) }) },
  'POST /v1/bank-details/{id}/confirm': onProposal({ number: IBAN }),
  'POST /v1/bank-details/{id}/reject': onProposal({ reason: 'The letter is forged.' }),
  'POST /v1/bank-details/{id}/withdraw': {
    prepare: async ({ operator }) => {
      const id = await proposed(operator);
      await operator.as('owner').post(`/v1/bank-details/${id}/confirm`, { number: IBAN }).expect(200);
      return { params: { id }, body: { reason: 'The account is closed.' } };
    },
  },
};
