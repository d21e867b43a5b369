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

test('a token ends on its day, lives 400 days at most, and is good for one operator only', async () => {
  const token = await api.operator.withToken({ role: 'auditor', scopes: ['read'] });
  await token.get('/v1/operator').expect(200);
  await token.get('/v1/operator').set('Latchledger-Operator', api.operator.code).expect(200);
  expect((await token.get('/v1/operator').set('Latchledger-Operator', api.other.code).expect(404)).body.code).toBe('not-found');
  api.clock.advance({ milliseconds: 86_400_001 });
  await token.get('/v1/operator').expect(401);

  const owner = await api.operator.newMember('owner');
  const wrong = async (expiresAt: string) => (await owner.post('/v1/api-tokens', { ...command, expiresAt }).expect(422)).body.errors[0];
  expect(await wrong('2026-04-01T11:59:59Z')).toMatchObject({ pointer: '#/expiresAt', code: 'in-the-past' });
  expect(await wrong('2027-07-01T00:00:00Z')).toMatchObject({ pointer: '#/expiresAt', code: 'too-far-ahead' });
});

test.each(['', 'latchledger_', 'latchledger_' + 'A'.repeat(43), 'x y', 'ü'])('%j is no token', async (secret) => {
  await api.anonymous.get('/v1/operator').set('Authorization', `Bearer ${encodeURI(secret)}`).expect(401);
});
