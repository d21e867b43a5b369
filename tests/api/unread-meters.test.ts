import type { Collection } from '#contracts/collection';
import type { UnreadMeters } from '#contracts/meter';
import type { VarianceFlagDetail, VarianceMonth } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, visit } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { goByMeters, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, collector, reviewer] = (['bookkeeper', 'collector', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

/** A machine with a meter of coins and one of notes. */
async function bar() {
  const running = await makeRunningSite(office);
  const { meterIds } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Notes', tender: 'note', value: '0' })] });
  const [coins = '', notes = ''] = meterIds;
  const counted = (day: number, more: object) => makeAcceptedCollection(office, running.site, [count(running.machine, '25.00', '0.00', more)], { happenedAt: at(day) });
  return { ...running, coins, notes, counted };
}

const collectionOf = async (id: string) => (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
const saidOf = ({ unreadMeters }: Pick<Collection, 'unreadMeters'>) => unreadMeters.map(({ meterLabel, said }) => [meterLabel, said?.why ?? null, said?.note ?? null]);

test('the reason of each unread meter comes with the count and stays with the collection', async () => {
  const { coins, notes, counted } = await bar();
  const first = await counted(5, { unread: [{ meterId: coins, why: 'display-dark' }, { meterId: notes, why: 'other', note: 'Behind a nailed-up panel' }] });
  expect(saidOf(await collectionOf(first.id))).toEqual([['Coins', 'display-dark', null], ['Notes', 'other', 'Behind a nailed-up panel']]);
  const second = await counted(6, { readings: [{ meterId: coins, value: '100' }], unread: [{ meterId: notes, why: 'meter-broken' }] });
  expect(saidOf(await collectionOf(second.id))).toEqual([['Notes', 'meter-broken', null]]);
});

test('a client that gives none goes on as before, and the reason is none given', async () => {
  const { counted, coins } = await bar();
  const { id } = await counted(5, { readings: [{ meterId: coins, value: '100' }] });
  expect(saidOf(await collectionOf(id))).toEqual([['Notes', null, null]]);
});

test('what is said later is added, and what was said first stays legible', async () => {
  const { machine, counted, coins, notes } = await bar();
  const { id } = await counted(5, { readings: [{ meterId: coins, value: '100' }], unread: [{ meterId: notes, why: 'machine-off' }] });
  const say = (client: TestClient, meters: object[]) => client.post(`/v1/collections/${id}/unread-meters`, { meters });
  const { items } = (await say(collector, [{ meterId: notes, why: 'not-reached', note: 'Somebody had parked a cart before it' }]).expect(201)).body as UnreadMeters;
  expect(items).toEqual([
    expect.objectContaining({ machineTag: machine['tag'], meterLabel: 'Notes', said: expect.objectContaining({ why: 'not-reached', note: 'Somebody had parked a cart before it' }), before: [expect.objectContaining({ why: 'machine-off', note: null })] }),
  ]);
  expect((await say(office, [{ meterId: coins, why: 'not-reached' }]).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/0/meterId', code: 'not-unread' }] });
  expect((await say(office, [{ meterId: notes, why: 'other' }]).expect(400)).body).toMatchObject({ errors: [{ pointer: '#/meters/0/note' }] });
});

test.each([
  ['a meter of another machine', ({ other }: { other: string }) => ({ unread: [{ meterId: other, why: 'machine-off' }] }), 'unread/0/meterId', 'unknown'],
  ['a meter that has a reading as well', ({ coins }: { coins: string }) => ({ readings: [{ meterId: coins, value: '5' }], unread: [{ meterId: coins, why: 'machine-off' }] }), 'unread/0/meterId', 'read-and-unread'],
  ['a meter listed twice', ({ coins }: { coins: string }) => ({ unread: [{ meterId: coins, why: 'machine-off' }, { meterId: coins, why: 'display-dark' }] }), 'unread/1/meterId', 'taken'],
  ['another reason without words', ({ coins }: { coins: string }) => ({ unread: [{ meterId: coins, why: 'other' }] }), 'unread/0/note', 'missing'],
] as const)('refuses %s by its field', async (_what, more, field, code) => {
  const [own, other] = [await bar(), await bar()];
  const refused = await office.post('/v1/collections', visit(own.site, [count(own.machine, '1.00', '0.00', more({ coins: own.coins, other: other.coins }))], { happenedAt: at(5) })).expect(code === 'missing' ? 400 : 422);
  expect(refused.body).toMatchObject({ errors: [{ pointer: `#/counts/0/${field}`, code }] });
});

test('who looks at the flag sees the reason, of that machine alone', async () => {
  const running = await bar();
  await goByMeters(office, running);
  await running.counted(5, { unread: [{ meterId: running.coins, why: 'display-dark' }] });
  const month = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${running.site.id}`).expect(200)).body as VarianceMonth;
  const flag = (await reviewer.get(`/v1/variance-flags/${month.flags[0]?.id ?? ''}`).expect(200)).body as VarianceFlagDetail;
  expect(flag.flag.reasons).toEqual(['meters-not-read']);
  expect(saidOf(flag)).toEqual([['Coins', 'display-dark', null], ['Notes', null, null]]);
});
