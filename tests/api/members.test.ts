import { startTestApi, TEST_PASSWORD, type TestApi } from '#tests/support/api';
import { asTenant } from '#tests/support/database';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const secretIn = (address: string): string => address.split('#')[1] ?? '';
const invite = async (body: object): Promise<{ id: string; secret: string }> => {
  const made = await api.operator.as('owner').post('/v1/invitations', body).expect(201);
  const { id, address } = made.body as { id: string; address: string };
  expect(address).toMatch(/^http:\/\/127\.0\.0\.1\/link#[A-Za-z0-9_-]{43}$/);
  return { id, secret: secretIn(address) };
};
const accept = (body: object) => api.anonymous.post('/v1/links/accept-invitation').send(body);

test('an invitation makes an account, signs it in, and serves once', async () => {
  const { secret } = await invite({ email: 'New.Person@Operator.example', role: 'bookkeeper' });
  const look = await api.anonymous.post('/v1/links/look').send({ secret }).expect(200);
  expect(look.body).toEqual({ kind: 'invitation', operatorName: 'Test operator', email: 'new.person@operator.example', hasAccount: false });

  expect((await accept({ secret, password: TEST_PASSWORD }).expect(422)).body).toMatchObject({ code: 'invalid-command', errors: [{ pointer: '#/name', code: 'missing' }] });
  expect((await accept({ secret, name: 'New Person', password: 'tooshort' }).expect(422)).body.code).toBe('password-too-weak');
  const accepted = await accept({ secret, name: 'New Person', password: TEST_PASSWORD }).expect(200);
  expect(accepted.body).toMatchObject({ name: 'New Person', operators: [{ id: api.operator.tenantId, role: 'bookkeeper' }] });
  expect((await accept({ secret, name: 'New Person', password: TEST_PASSWORD }).expect(422)).body.code).toBe('link-unusable');

  const members = await api.operator.as('owner').get('/v1/members').expect(200);
  expect(members.body.items).toContainEqual(expect.objectContaining({ email: 'new.person@operator.example', role: 'bookkeeper', revision: 1 }));
  const trail = await asTenant(api.db, api.operator.tenantId, (tx) =>
    tx.sql<{ actor: string; table_name: string }>(`SELECT actor, table_name FROM audit_entry WHERE table_name = 'membership' AND actor = $1`, [`user:${accepted.body.id}`]),
  );
  expect(trail.rows).toHaveLength(1);
});

test('an account of another operator joins with its own password, and with nothing less', async () => {
  const { email, id } = api.other.as('reviewer');
  const { secret } = await invite({ email, role: 'auditor' });
  expect((await api.anonymous.post('/v1/links/look').send({ secret }).expect(200)).body.hasAccount).toBe(true);
  await accept({ secret, name: 'Taken over', password: 'another password 77' }).expect(401);
  const accepted = await accept({ secret, password: TEST_PASSWORD }).expect(200);
  expect(accepted.body.id).toBe(id);
  expect(accepted.body.operators).toHaveLength(2);

  // A user of two operators says which one is meant; the old session sees the new operator at once.
  const user = api.other.as('reviewer');
  await user.get('/v1/operator').expect(200);
  expect((await user.get('/v1/operator').set('Latchledger-Operator', api.operator.code).expect(200)).body.code).toBe(api.operator.code);
  const unnamed = await user.get('/v1/operator').set('Latchledger-Operator', '').expect(400);
  expect(unnamed.body.code).toBe('operator-missing');
  // Neither owner may give out a link to an account that the other operator relies on.
  const refused = await api.operator.as('owner').post(`/v1/members/${id}/password-link`).expect(422);
  expect(refused.body.code).toBe('account-shared');
});

test('a withdrawn or expired link opens nothing', async () => {
  const withdrawn = await invite({ email: 'a@operator.example', role: 'auditor' });
  const open = await api.operator.as('owner').get('/v1/open-links').expect(200);
  expect(open.body.items).toContainEqual(expect.objectContaining({ id: withdrawn.id, email: 'a@operator.example', role: 'auditor' }));
  await api.operator.as('owner').delete(`/v1/open-links/${withdrawn.id}`).expect(204);
  await accept({ secret: withdrawn.secret, name: 'A', password: TEST_PASSWORD }).expect(422);
  await api.operator.as('owner').delete(`/v1/open-links/${withdrawn.id}`).expect(404);
});

test('a new password by link closes every session and lifts the lock', async () => {
  const member = await api.operator.newMember('collector');
  for (let count = 0; count < 6; count += 1) await api.anonymous.post('/v1/sign-in').send({ email: member.email, password: `wrong ${count}` });
  await api.anonymous.post('/v1/sign-in').send({ email: member.email, password: TEST_PASSWORD }).expect(429);
  const made = await api.operator.as('owner').post(`/v1/members/${member.id}/password-link`).expect(201);
  const secret = secretIn((made.body as { address: string }).address);
  const set = (password: string) => api.anonymous.post('/v1/links/set-password').send({ secret, password });
  await set('collector').expect(422);
  await set('nine paper boats 3').expect(204);
  await set('nine paper boats 3').expect(422);
  await member.get('/v1/operator').expect(401);
  await api.anonymous.post('/v1/sign-in').send({ email: member.email, password: 'nine paper boats 3' }).expect(200);
});

test('an invitation changes nothing for whoever is a member already', async () => {
  const owner = api.other.as('owner');
  const refused = await owner.post('/v1/invitations', { email: owner.email, role: 'auditor' }).expect(409);
  expect(refused.body).toMatchObject({ code: 'already-exists', errors: [{ pointer: '#/email', code: 'taken' }] });

  // Two links to one address: the second one must not bring back a role that was taken away meanwhile.
  const email = 'twice@operator.example';
  const first = await invite({ email, role: 'owner' });
  const second = await invite({ email, role: 'owner' });
  const { body } = await accept({ secret: first.secret, name: 'Twice', password: TEST_PASSWORD }).expect(200);
  const member = `/v1/members/${(body as { id: string }).id}`;
  await api.operator.as('owner').put(member, { role: 'auditor' }).set('If-Match', '"1"').expect(200);
  expect((await accept({ secret: second.secret, password: TEST_PASSWORD }).expect(422)).body.code).toBe('link-unusable');
  expect((await api.operator.as('owner').get(member).expect(200)).body).toMatchObject({ role: 'auditor', revision: 2 });
});

test('a link that was still open does not let a removed member in again', async () => {
  const email = 'removed@operator.example';
  const used = await invite({ email, role: 'bookkeeper' });
  const left = await invite({ email, role: 'bookkeeper' });
  const { body } = await accept({ secret: used.secret, name: 'Removed', password: TEST_PASSWORD }).expect(200);
  await api.operator.as('owner').delete(`/v1/members/${(body as { id: string }).id}`).set('If-Match', '"1"').expect(204);
  expect((await accept({ secret: left.secret, password: TEST_PASSWORD }).expect(422)).body.code).toBe('link-unusable');
  // Whoever is wanted back is invited anew.
  const { secret } = await invite({ email, role: 'auditor' });
  await accept({ secret, password: TEST_PASSWORD }).expect(200);
});

test('a link to set a password serves no more once the password was changed another way', async () => {
  const member = await api.operator.newMember('collector');
  const link = async () => secretIn(((await api.operator.as('owner').post(`/v1/members/${member.id}/password-link`).expect(201)).body as { address: string }).address);
  const [first, second] = [await link(), await link()];
  const set = (secret: string, password: string) => api.anonymous.post('/v1/links/set-password').send({ secret, password });
  api.clock.advance({ milliseconds: 1_000 });
  await set(first, 'nine paper boats 3').expect(204);
  expect((await set(second, 'taken over by 2nd link').expect(422)).body.code).toBe('link-unusable');
});

test('a site manager is bound to sites that exist, and nobody else is', async () => {
  const owner = api.operator.as('owner');
  const wrong = async (body: object) => (await owner.post('/v1/invitations', { email: 'm@operator.example', ...body }).expect(422)).body.errors;
  expect(await wrong({ role: 'site-manager' })).toEqual([expect.objectContaining({ pointer: '#/siteIds', code: 'missing' })]);
  expect(await wrong({ role: 'site-manager', siteIds: [api.other.siteId] })).toEqual([expect.objectContaining({ pointer: '#/siteIds/0', code: 'unknown' })]);
  expect(await wrong({ role: 'owner', siteIds: [api.operator.siteId] })).toContainEqual(expect.objectContaining({ pointer: '#/siteIds', code: 'not-for-this-role' }));
  expect(await wrong({ role: 'collector', personId: api.operator.siteId })).toEqual([expect.objectContaining({ pointer: '#/personId', code: 'unknown' })]);
});

test('a changed role holds from the next request on, and a removed member is out', async () => {
  const owner = api.operator.as('owner');
  const member = await api.operator.newMember('bookkeeper');
  await member.get('/v1/members').expect(403);
  const path = `/v1/members/${member.id}`;
  expect((await owner.put(path, { role: 'auditor' }).expect(428)).body.code).toBe('version-missing');
  const changed = await owner.put(path, { role: 'auditor' }).set('If-Match', '"1"').expect(200);
  expect(changed.headers['etag']).toBe('"2"');
  await member.get('/v1/members').expect(200);
  expect((await owner.put(path, { role: 'owner' }).set('If-Match', '"1"').expect(412)).body.code).toBe('changed-meanwhile');
  await owner.delete(path).set('If-Match', '"2"').expect(204);
  await member.get('/v1/members').expect(404);
  await owner.get(path).expect(404);
});

test('an operator keeps an owner, even when two owners remove each other at the same moment', async () => {
  const owner = api.other.as('owner');
  const path = (id: string) => `/v1/members/${id}`;
  expect((await owner.put(path(owner.id), { role: 'auditor' }).set('If-Match', '"1"').expect(422)).body.code).toBe('last-owner');
  await owner.delete(path(owner.id)).set('If-Match', '"1"').expect(422);
  const second = await api.other.newMember('owner');
  const answers = await Promise.all([
    owner.delete(path(second.id)).set('If-Match', '"1"'),
    second.delete(path(owner.id)).set('If-Match', '"1"'),
  ]);
  expect(answers.filter(({ status }) => status === 204)).toHaveLength(1);
});
