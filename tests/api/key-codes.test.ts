import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, etag, type Made } from '#tests/support/set-up';

let api: TestApi;
let custodian: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  custodian = api.operator.as('custodian');
});
afterAll(() => api?.close());

test('a custodian records cuts, of one class each, and says later that copies are outside', async () => {
  const made = (await custodian.post('/v1/key-codes', { code: 'C-1', class: 'cash-box', outsideCopies: false }).expect(201)).body as Made;
  await custodian.post('/v1/key-codes', { code: 'A-1', class: 'access', outsideCopies: true }).expect(201);
  const changed = await custodian.patch(`/v1/key-codes/${made.id}`, { outsideCopies: true }).set('If-Match', etag(made)).expect(200);
  expect(changed.body).toEqual({ id: made.id, code: 'C-1', class: 'cash-box', outsideCopies: true, copies: 0, locks: 0, revision: 2 });
  expect((await custodian.get(`/v1/key-codes/${made.id}`).expect(200)).body).toEqual(changed.body);
  const listed = (await custodian.get('/v1/key-codes?class=access').expect(200)).body as { items: { code: string }[] };
  expect(listed.items.map(({ code }) => code)).toEqual(['A-1']);
});

test('pages follow each other by code', async () => {
  const first = (await custodian.get('/v1/key-codes?limit=1').expect(200)).body as { items: { code: string }[]; next: string };
  const second = (await custodian.get(`/v1/key-codes?limit=1&cursor=${first.next}`).expect(200)).body as typeof first;
  expect([first, second].map(({ items }) => items[0]?.code)).toEqual(['A-1', 'C-1']);
  expect((await custodian.get('/v1/key-codes?cursor=nonsense').expect(400)).body).toMatchObject({ code: 'invalid-cursor' });
});

test('what is refused names its field', async () => {
  const twice = await custodian.post('/v1/key-codes', { code: 'C-1', class: 'access', outsideCopies: false }).expect(409);
  expect(errorsOf(twice)).toEqual(['#/code taken']);
  const wrongClass = await custodian.post('/v1/key-codes', { code: 'C-2', class: 'master', outsideCopies: false }).expect(400);
  expect((wrongClass.body as { errors: { pointer: string }[] }).errors.map(({ pointer }) => pointer)).toEqual(['#/class']);
  const made = (await custodian.post('/v1/key-codes', { code: 'C-3', class: 'cash-box', outsideCopies: false }).expect(201)).body as Made;
  const otherClass = await custodian.patch(`/v1/key-codes/${made.id}`, { class: 'access' }).set('If-Match', etag(made)).expect(400);
  expect((otherClass.body as { code: string }).code).toBe('invalid-request');
  await custodian.patch(`/v1/key-codes/${made.id}`, { outsideCopies: true }).set('If-Match', '"7"').expect(412);
});
