import type { Collection } from '#contracts/collection';
import type { CollectionsDue } from '#contracts/round';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, usd } from '#tests/support/collecting';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makePerson, makeRunningSite } from '#tests/support/set-up';

// Before anybody goes: who will count is not told beforehand what lies in the boxes (25 CFR 543.17(g)(5)), and whoever was told is
// labelled when they count. Today is 2026-06-02.

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
let orla: string;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [owner, office, collector] = [api.operator.as('owner'), api.operator.as('bookkeeper'), api.operator.as('collector')];
  orla = await personOf(collector, 'collector');
});
beforeEach(() => api.clock.set(new Date('2026-06-02T15:00:00Z')));
afterAll(() => api?.close());

async function personOf(member: TestClient, role: string): Promise<string> {
  const { id } = await makePerson(owner);
  await bindToPerson(owner, { accountId: member.id, role, personId: id });
  return id;
}

/** A site with a meter, whose boxes were counted and accepted in May. */
async function countedInMay(): Promise<Running> {
  const bar = await makeRunningSite(office);
  await fitBoard(office, bar.machine.id, { fittedAt: '2026-05-01T12:00:00-05:00', meters: [meterFields({ value: '100', mostPerHour: 600 })] });
  for (const day of ['04', '18']) {
    const made = await makeCollection(collector, bar.site, [count(bar.machine, '741.25', '0.00')], { happenedAt: `2026-05-${day}T12:00:00-05:00` });
    await owner.post(`/v1/collections/${made.id}/accept`).expect(200);
  }
  return bar;
}

const plan = (bar: Running, plannedOn: string, collectorId: string) => owner.post('/v1/rounds', { name: 'Harbour', plannedOn, collectorId, siteIds: [bar.site.id] }).expect(201);
const visit = (client: TestClient, bar: Running, happenedAt = '2026-06-02T08:00:00-05:00') => makeCollection(client, bar.site, [count(bar.machine, '20.00', '0.00')], { happenedAt });
const blindnessOf = async (id: string) => ((await api.operator.as('reviewer').get(`/v1/collections/${id}`).expect(200)).body as Collection).blind;
const dueOf = async (client: TestClient, bar: Running) => ((await client.get('/v1/collections-due').expect(200)).body as CollectionsDue).items.find(({ siteId }) => siteId === bar.site.id);
const cashDue = async (client: TestClient, bar: Running) => (await dueOf(client, bar))?.cash.amount;
const shownTo = async (client: TestClient, bar: Running) => {
  const { items } = (await client.get(`/v1/collections?siteId=${bar.site.id}`).expect(200)).body as { items: { id: string }[] };
  return items.length;
};

test('from the moment on at which a round goes there nobody who counts by role is shown what was counted before', async () => {
  const bar = await countedInMay();
  expect(await shownTo(collector, bar)).toBe(2);
  const [earlier] = ((await office.get(`/v1/collections?siteId=${bar.site.id}`)).body as { items: { id: string }[] }).items;
  const round = (await plan(bar, '2026-06-05', orla)).body as { id: string };
  expect(await shownTo(collector, bar)).toBe(0);
  expect((await collector.get(`/v1/collections/${earlier?.id ?? ''}`).expect(403)).body).toMatchObject({ code: 'being-counted' });
  await owner.post(`/v1/rounds/${round.id}/cancel`, { reason: 'The van is broken.' }).expect(200);
  expect(await shownTo(collector, bar)).toBe(2);
});

test('whom a round sends there is told no estimate and no reading from its day on, nor by a token, and the planner is', async () => {
  const bar = await countedInMay();
  const [member, other] = [await api.operator.newMember('bookkeeper'), await api.operator.newMember('bookkeeper')];
  await plan(bar, '2026-06-02', await personOf(member, 'bookkeeper'));
  const token = await api.operator.withToken({ role: 'bookkeeper', scopes: ['read', 'collect'], madeBy: owner });
  expect(await dueOf(member, bar)).toMatchObject({ cash: usd('0.00'), withheld: true });
  expect((await member.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(403)).body).toMatchObject({ code: 'being-counted' });
  expect((await member.get(`/v1/machines/${bar.machine.id}/reports`).expect(403)).body).toMatchObject({ code: 'being-counted' });
  for (const client of [other, token]) expect(Number(await cashDue(client, bar))).toBeGreaterThan(0);
  expect(await dueOf(other, bar)).toMatchObject({ withheld: false });
  // What the round is for was never told to whoever counts on it.
  expect(await blindnessOf((await visit(member, bar)).id)).toBe(true);
});

test('a round of a later day keeps nothing from whom it sends yet: but having looked is on record', async () => {
  const bar = await countedInMay();
  const member = await api.operator.newMember('bookkeeper');
  await plan(bar, '2026-06-09', await personOf(member, 'bookkeeper'));
  expect(Number(await cashDue(member, bar))).toBeGreaterThan(0);
  expect(await blindnessOf((await visit(member, bar)).id)).toBe(false);
});

test.each([
  ['estimates of the cash in boxes', () => '/v1/collections-due'],
  ['readings of its meters', (bar: Running) => `/v1/machines/${bar.machine.id}/meter-readings`],
  ['reports of the machine', (bar: Running) => `/v1/machines/${bar.machine.id}/reports`],
])('who looked at %s after the last emptying does not count blind, up to the next', async (_what, path) => {
  const bar = await countedInMay();
  const [looked, other] = [await api.operator.newMember('bookkeeper'), await api.operator.newMember('bookkeeper')];
  await looked.get(path(bar)).expect(200);
  api.clock.set(new Date('2026-06-02T17:00:00Z'));
  const byOther = await visit(other, bar, '2026-06-02T15:20:00Z');
  expect(await blindnessOf(byOther.id)).toBe(true);
  await owner.post(`/v1/collections/${byOther.id}/discard`, { reason: 'Entered for another site' }).expect(200);
  const own = await visit(looked, bar, '2026-06-02T15:40:00Z');
  expect(await blindnessOf(own.id)).toBe(false);
  await owner.post(`/v1/collections/${own.id}/accept`).expect(200);
  // The box was emptied since: what was in it then is no longer there.
  expect(await blindnessOf((await visit(looked, bar, '2026-06-02T16:40:00Z')).id)).toBe(true);
});

test('the stops on a phone tell of no amount, no reading and no day of an earlier visit', async () => {
  const bar = await countedInMay();
  await plan(bar, '2026-06-02', orla);
  const text = JSON.stringify((await collector.get('/v1/own-stops').expect(200)).body);
  expect(text).toContain(bar.machine['tag']);
  for (const told of ['741.25', '2026-05', '"100"', '0100', usd('741.25').amount]) expect(text).not.toContain(told);
});
