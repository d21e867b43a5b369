import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';

const token = (id?: string) => ({ ...(id && { id }), name: 'Sample', role: 'auditor', scopes: ['read'], expiresAt: '2026-12-31T00:00:00Z' });
const invitation = (id?: string) => ({ ...(id && { id }), email: 'new@operator.example', role: 'auditor' });

async function newToken(operator: TestOperator): Promise<string> {
  const id = randomUUID();
  await operator.as('owner').post('/v1/api-tokens', token(id)).expect(201);
  return id;
}

async function newLink(operator: TestOperator): Promise<string> {
  const id = randomUUID();
  await operator.as('owner').post('/v1/invitations', invitation(id)).expect(201);
  return id;
}

async function memberToChange(operator: TestOperator) {
  const { id } = await operator.newMember('reviewer');
  return { params: { id }, revision: 1 };
}

export const samples: Samples = {
  'PATCH /v1/operator': {
    prepare: async ({ operator }) => ({
      body: { name: 'Another name' },
      revision: ((await operator.as('owner').get('/v1/operator').expect(200)).body as { revision: number }).revision,
    }),
  },
  'POST /v1/api-tokens': { prepare: () => ({ body: token(randomUUID()) }) },
  'POST /v1/api-tokens/{id}/revoke': { prepare: async ({ operator }) => ({ params: { id: await newToken(operator) } }) },
  'GET /v1/members/{id}': { prepare: ({ operator }) => memberToChange(operator) },
  'PUT /v1/members/{id}': { prepare: async ({ operator }) => ({ ...(await memberToChange(operator)), body: { role: 'auditor' } }) },
  'DELETE /v1/members/{id}': { prepare: ({ operator }) => memberToChange(operator) },
  'POST /v1/members/{id}/password-link': { prepare: ({ operator }) => memberToChange(operator) },
  'POST /v1/invitations': { prepare: () => ({ body: invitation(randomUUID()) }) },
  'DELETE /v1/open-links/{id}': { prepare: async ({ operator }) => ({ params: { id: await newLink(operator) } }) },
};
