import { randomUUID } from 'node:crypto';
import type { Round } from '#contracts/round';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count } from '#tests/support/collecting';
import { etag, makePerson, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';

// Today is 2026-03-31.

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const counted = ({ machine }: { readonly machine: Made }) => count(machine, '5.00', '0.00');

test('a round with stops where nobody went is found until somebody has been there, under the latest that was to go', async () => {
  const [person, one, two, closed] = [await makePerson(office), await makeRunningSite(office, { site: { name: 'One' } }), await makeRunningSite(office, { site: { name: 'Two' } }), await makeSite(office, { name: 'Closed' })];
  const plan = async (name: string, plannedOn: string, ...siteIds: string[]) => (await office.post('/v1/rounds', { name, plannedOn, collectorId: person.id, siteIds }).expect(201)).body as Made;
  const missed = async () => ((await office.get('/v1/rounds?missed=yes&before=2026-03-31').expect(200)).body.items as Round[]).map(({ name, stops }) => [name, ...stops.flatMap(({ siteName, collectedOn, plannedAgainOn }) => (collectedOn === null ? [`${siteName} ${plannedAgainOn ?? 'not again'}`] : []))]);
  await plan('Gone', '2026-03-01', closed.id);
  await office.patch(`/v1/sites/${closed.id}`, { closedOn: '2026-03-02' }).set('If-Match', etag(closed)).expect(200);
  await plan('First', '2026-03-10', one.site.id, two.site.id);
  const off = await plan('Called off', '2026-03-12', one.site.id);
  await office.post(`/v1/rounds/${off.id}/cancel`, { reason: 'The van is broken.' }).expect(200);
  await plan('Today', '2026-03-31', one.site.id);
  expect(await missed()).toEqual([['First', 'One 2026-03-31', 'Two not again']]);
  // One that was to go there later, and did not, takes the place of the first.
  await plan('Second', '2026-03-20', two.site.id, one.site.id);
  expect(await missed()).toEqual([['Second', 'Two not again', 'One 2026-03-31']]);
  await office.post('/v1/collections', { siteId: two.site.id, happenedAt: '2026-03-25T18:00:00Z', counts: [counted(two)] }).expect(201);
  expect(await missed()).toEqual([['Second', 'One 2026-03-31']]);
  await office.post('/v1/collections', { siteId: one.site.id, happenedAt: '2026-03-26T18:00:00Z', counts: [counted(one)] }).expect(201);
  expect(await missed()).toEqual([]);
  expect((await office.get('/v1/rounds?missed=no').expect(400)).body.code).toBe('invalid-request');
});

test.each([
  ['a site that is none', () => ({ siteIds: [randomUUID()] }), '#/siteIds/0', 'unknown'],
  ['a site that is not open yet', async () => ({ siteIds: [(await makeSite(office, { openedOn: '2026-05-01' })).id] }), '#/siteIds/0', 'site-not-open'],
  ['a person that is none', () => ({ collectorId: randomUUID() }), '#/collectorId', 'unknown'],
  ['a person of a site', async () => ({ collectorId: (await makePerson(office, { employedBy: 'site', siteId: (await makeSite(office)).id })).id }), '#/collectorId', 'employed-by-site'],
  ['a person who comes later', async () => ({ collectorId: (await makePerson(office, { startedOn: '2026-05-01' })).id }), '#/collectorId', 'not-employed-then'],
] as const)('refuses %s by its field', async (_what, fields, pointer, code) => {
  const right = { name: 'Harbour', plannedOn: '2026-04-02', collectorId: (await makePerson(office)).id, siteIds: [(await makeSite(office)).id] };
  const answer = await office.post('/v1/rounds', { ...right, ...(await fields()) }).expect(422);
  expect(answer.body.errors).toMatchObject([{ pointer, code }]);
});
