import { randomUUID } from 'node:crypto';
import { namesOf, selectNames } from '#backoffice/audit-trail/names.sql';
import { forgetExpired } from '#backoffice/identity/forget-expired';
import { startTestApi, type TestApi } from '#tests/support/api';
import { asTenant } from '#tests/support/database';
import { makeMachine, makePlacement, makeSite } from '#tests/support/set-up';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const token = { name: 'Export', role: 'auditor', scopes: ['read'], expiresAt: '2026-12-31T00:00:00Z' };

test('a change is found with who made it, in which request, and without its secret', async () => {
  const owner = api.operator.as('owner');
  const made = await owner.post('/v1/api-tokens', token).set('Request-Id', 'request-of-the-test').expect(201);
  const trail = await api.operator.as('auditor').get(`/v1/audit-trail?kind=api_token&thingId=${made.body.id}`).expect(200);
  expect(trail.body.items).toEqual([
    expect.objectContaining({ action: 'insert', actor: `user:${owner.id}`, requestId: 'request-of-the-test', kind: 'api_token', before: null }),
  ]);
  expect(trail.body.items[0].after).toMatchObject({ name: 'Export', secret_hash: 'not recorded' });
});

test('an update names the columns that changed; using a token is no change', async () => {
  const owner = api.operator.as('owner');
  const read = await owner.get('/v1/operator').expect(200);
  await owner.patch('/v1/operator', { name: 'Renamed' }).set('If-Match', read.headers['etag'] ?? '').expect(200);
  const { items } = (await owner.get('/v1/audit-trail?kind=operator&limit=1').expect(200)).body;
  expect(items[0]).toMatchObject({ action: 'update', before: { name: 'Test operator', revision: 1 }, after: { name: 'Renamed', revision: 2 } });
  const before = (await owner.get('/v1/audit-trail?limit=200').expect(200)).body.items.length;
  await api.operator.withToken({ role: 'auditor', scopes: ['read'] }).then((client) => client.get('/v1/operator').expect(200));
  expect((await owner.get('/v1/audit-trail?limit=200').expect(200)).body.items).toHaveLength(before + 1);
});

test('each thing is called by its name or that of what it belongs to, also where only something else of it changed', async () => {
  const owner = api.operator.as('owner');
  const site = await makeSite(owner);
  const machine = await makeMachine(owner);
  const placement = await makePlacement(owner, { machineId: machine.id, siteId: site.id });
  await owner.patch(`/v1/machines/${machine.id}`, { serialNumber: 'SN-1' }).set('If-Match', `"${machine.revision}"`).expect(200);
  const called = async (thingId: string) => ((await owner.get(`/v1/audit-trail?thingId=${thingId}&limit=1`).expect(200)).body.items as { after: object; thingName: string | null }[])[0];
  expect(await called(machine.id)).toMatchObject({ thingName: machine['tag'], after: { serial_number: 'SN-1' } });
  expect((await called(machine.id))?.after).not.toHaveProperty('tag');
  expect(await called(placement.id)).toMatchObject({ thingName: machine['tag'] });
  expect(await called(site.id)).toMatchObject({ thingName: site['name'] });
  // The question of each kind can be asked.
  const every = Object.keys(namesOf).map((kind) => ({ kind, id: randomUUID() }));
  expect(every.length).toBeGreaterThan(40);
  expect((await asTenant(api.db, api.operator.tenantId, (tx) => selectNames(tx, every))).size).toBe(0);
});

test('pages walk back in time, over this operator alone', async () => {
  const owner = api.other.as('owner');
  for (let count = 0; count < 5; count += 1) await owner.post('/v1/api-tokens', { ...token, name: `Number ${count}` }).expect(201);
  const seen: string[] = [];
  let cursor = '';
  do {
    const page = await owner.get(`/v1/audit-trail?kind=api_token&limit=2${cursor === '' ? '' : `&cursor=${cursor}`}`).expect(200);
    seen.push(...page.body.items.map((item: { after: { name: string } }) => item.after.name));
    cursor = page.body.next ?? '';
  } while (cursor !== '');
  expect(seen).toEqual(['Number 4', 'Number 3', 'Number 2', 'Number 1', 'Number 0']);
});

test('housekeeping keeps answers for 30 days and forgets them after', async () => {
  const owner = api.operator.as('owner');
  const send = () => owner.post('/v1/api-tokens', { ...token, name: 'Kept' }).set('Idempotency-Key', 'kept-for-a-month');
  await send().expect(201);
  const kept = async () => (await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql('SELECT FROM idempotency_record WHERE key = $1', ['kept-for-a-month']))).rowCount;
  api.clock.advance({ milliseconds: 29 * 86_400_000 });
  await forgetExpired(api.backoffice);
  expect(await kept()).toBe(1);
  api.clock.advance({ milliseconds: 2 * 86_400_000 });
  await forgetExpired(api.backoffice);
  expect(await kept()).toBe(0);
  // The session of a month ago is forgotten as well.
  await owner.get('/v1/operator').expect(401);
});
