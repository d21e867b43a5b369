import { startTestApi, type TestApi } from '#tests/support/api';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const command = { name: 'Nightly export', role: 'bookkeeper', scopes: ['read'], expiresAt: '2026-12-31T00:00:00Z' };

test('a token is made, shown once, used, listed without its secret, and revoked', async () => {
  const owner = api.operator.as('owner');
  const made = await owner.post('/v1/api-tokens', command).expect(201);
  const { id, secret } = made.body as { id: string; secret: string };
  expect(secret).toMatch(/^latchledger_/);

  const listed = await owner.get('/v1/api-tokens').expect(200);
  expect(listed.body.items).toEqual([expect.objectContaining({ id, name: 'Nightly export', scopes: ['read'], revokedAt: null })]);
  expect(JSON.stringify(listed.body)).not.toContain(secret);

  const bearer = { Authorization: `Bearer ${secret}` };
  // A token of a session-only action's role is still a token.
  await api.anonymous.get('/v1/api-tokens').set(bearer).expect(403);
  await owner.post(`/v1/api-tokens/${id}/revoke`).expect(200);
  await api.anonymous.get('/v1/api-tokens').set(bearer).expect(401);
});

test('a repeated request answers the same, marked, without the secret, and makes nothing twice', async () => {
  const owner = api.operator.as('owner');
  const key = 'one-and-the-same-key';
  const first = await owner.post('/v1/api-tokens', { ...command, name: 'Once' }).set('Idempotency-Key', key).expect(201);
  const again = await owner.post('/v1/api-tokens', { ...command, name: 'Once' }).set('Idempotency-Key', key).expect(201);
  expect(again.headers['idempotency-replayed']).toBe('true');
  expect(again.body).toEqual({ ...first.body, secret: null });
  const other = await owner.post('/v1/api-tokens', { ...command, name: 'Twice' }).set('Idempotency-Key', key).expect(422);
  expect(other.body.code).toBe('idempotency-key-reused');
  const listed = await owner.get('/v1/api-tokens').expect(200);
  expect(listed.body.items.filter((token: { name: string }) => token.name === 'Once')).toHaveLength(1);
});

test('a wrong request names every field', async () => {
  const answer = await api.operator.as('owner').post('/v1/api-tokens', { name: '', role: 'king', scopes: [], colour: 'red' }).expect(400);
  expect(answer.headers['content-type']).toContain('application/problem+json');
  expect(answer.body.errors).toEqual(
    expect.arrayContaining([
      expect.objectContaining({ pointer: '#/name', code: 'too-small' }),
      expect.objectContaining({ pointer: '#/role', code: 'not-one-of' }),
      expect.objectContaining({ pointer: '#/scopes', code: 'too-small' }),
      expect.objectContaining({ pointer: '#/expiresAt', code: 'missing' }),
      expect.objectContaining({ pointer: '#/colour', code: 'unknown-field' }),
    ]),
  );
});
