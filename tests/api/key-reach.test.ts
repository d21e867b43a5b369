import type { CopyReach, KeyReach } from '#contracts/key-reach';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { fitBoard } from '#tests/support/metering';
import { makeMachine, makePerson, makePlacement, makeRunningSite, nextCode, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let keys: ReturnType<typeof keyBooks>;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;
let rich: Running;
let poor: Running;
let idle: Made;
let collector: Made;
let taken: KeyCopyOfTest;
let spare: KeyCopyOfTest;

const collect = (running: Running, day: string, coin: string) => makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day) });
const reachOf = async (copy: KeyCopyOfTest, query = ''): Promise<CopyReach> => (await office.get(`/v1/key-copies/${copy.id}/reach${query}`).expect(200)).body as CopyReach;

beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
  keys = keyBooks(api.operator);
  [rich, poor] = [await makeRunningSite(office), await makeRunningSite(office)];
  idle = await makeMachine(office);
  const cut = await keys.cut({ class: 'cash-box', outsideCopies: true });
  const access = await keys.cut({ class: 'access' });
  for (const machine of [rich.machine, poor.machine, idle]) await keys.lock({ machineId: machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
  await keys.lock({ machineId: rich.machine.id, cut: access, opens: 'play-area', fittedAt: '2026-01-02T08:00:00Z' });
  collector = await makePerson(office);
  const storeId = await keys.store();
  [taken, spare] = [await keys.copy({ cut, storeId, madeAt: '2026-01-02T08:00:00Z' }), await keys.copy({ cut, storeId, madeAt: '2026-01-02T08:00:00Z' })];
  await keys.happen(taken, { says: 'issued', at: '2026-03-01T08:00:00Z', from: inStore(storeId), to: heldBy(collector.id), dueBackAt: '2026-03-20T08:00:00Z' });
  // 700.00 in the 28 days up to 24 March, so 25.00 a day; seven days later it is the 31st.
  await collect(rich, '2026-02-24', '90.00');
  await collect(rich, '2026-03-10', '300.00');
  await collect(rich, '2026-03-24', '400.00');
  await collect(poor, '2026-03-03', '12.00');
  await collect(poor, '2026-03-24', '12.60');
});
afterAll(() => api?.close());

test('a lost copy: every lock of its cut, most cash first, and who else has one', async () => {
  const { reach, where, number } = await reachOf(taken);
  expect(where).toMatchObject({ state: 'held', since: '2026-03-01T08:00:00.000Z', dueBackAt: '2026-03-20T08:00:00.000Z', holder: { kind: 'person', id: collector.id, siteId: null } });
  expect(reach.codes).toEqual([expect.objectContaining({ class: 'cash-box', outsideCopies: true })]);
  // Since the machines were placed on 1 January 2025: 790.00 in 447 days, and 24.60 in the same.
  const perDay = (minor: number) => (Math.round((minor / 447) * 100) / 10_000).toFixed(2);
  expect(reach.machines.map(({ machineId, cash }) => [machineId, cash?.perDay?.amount])).toEqual([
    [rich.machine.id, perDay(79_000)],
    [poor.machine.id, perDay(2_460)],
    [idle.id, undefined],
  ]);
  expect(reach.machines[0]).toMatchObject({ siteId: rich.site.id, cash: { daysSince: 7, lastCollectedOn: '2026-03-24', amount: usd('12.37') }, locks: [{ opens: 'cash-box', place: 'cash-box' }] });
  // 790.00 / 447 * 7 = 12.371..., 24.60 / 447 * 7 = 0.385...
  expect(reach.sites.map(({ siteId, machines, cash }) => [siteId, machines, cash.amount])).toEqual([
    [rich.site.id, 1, '12.37'],
    [poor.site.id, 1, '0.39'],
  ]);
  expect(reach.cash).toEqual([usd('12.76')]);
  expect(reach.machinesWithoutEstimate).toBe(0);
  expect(reach.copies.map((copy) => [copy.number, copy.where.holder?.kind])).toEqual([[spare.number, 'store']]);
  expect(number).toBe(taken.number);
  const csv = (await office.get(`/v1/key-copies/${taken.id}/reach/export`).expect(200)).text.split('\r\n');
  expect(csv[1]).toMatch(/^lock,CUT-\d+,yes,S-\d+,The Copper Kettle,M-\d+,cash-box,cash-box,2026-03-24,7,USD,12\.37,daily-takings,,,,,$/);
  expect(csv.filter((line) => line.startsWith('copy,'))).toEqual([expect.stringContaining(`,${spare.number},held,SAFE-`)]);
});

test('the present pace counts, not that of a year ago', async () => {
  const busy = await makeRunningSite(office);
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: busy.machine.id, cut, opens: 'everything', fittedAt: '2025-01-02T08:00:00Z' });
  // Nine thousand in the year before; then 8.00 a day for the hundred days up to 25 March, and six days since.
  await collect(busy, '2025-12-15', '9000.00');
  await collect(busy, '2026-01-24', '320.00');
  await collect(busy, '2026-03-25', '480.00');
  const reach = (await office.get(`/v1/key-codes/${cut.id}/reach`).expect(200)).body as KeyReach;
  expect(reach.machines[0]?.cash).toEqual({ amount: usd('48.00'), source: 'daily-takings', reportedAt: null, perDay: usd('8.00'), daysSince: 6, lastCollectedOn: '2026-03-25' });
});

test('an access key reaches no money, and a machine before its first collection cannot be estimated', async () => {
  const fresh = await makeRunningSite(office);
  const [access, cashBox] = [await keys.cut({ class: 'access' }), await keys.cut({ class: 'cash-box' })];
  await keys.lock({ machineId: rich.machine.id, cut: access, opens: 'play-area', place: 'back-door', fittedAt: '2026-01-02T08:00:00Z' });
  await keys.lock({ machineId: fresh.machine.id, cut: cashBox, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
  const ofAccess = (await office.get(`/v1/key-codes/${access.id}/reach`).expect(200)).body as KeyReach;
  expect(ofAccess).toMatchObject({ cash: [], machinesWithoutEstimate: 0, copies: [], machines: [{ cash: null }] });
  const ofCashBox = (await office.get(`/v1/key-codes/${cashBox.id}/reach`).expect(200)).body as KeyReach;
  expect(ofCashBox).toMatchObject({ cash: [usd('0.00')], machinesWithoutEstimate: 1, machines: [{ siteId: fresh.site.id, cash: null }] });
});

test('at another moment, and as the books knew it then', async () => {
  const moved = await makeRunningSite(office);
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: moved.machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z', removedAt: '2026-02-01T08:00:00Z', removalRecordedAt: '2026-02-05T08:00:00Z' });
  const machinesAt = async (query: string) => ((await office.get(`/v1/key-codes/${cut.id}/reach?${query}`).expect(200)).body as KeyReach).machines.length;
  expect(await machinesAt('at=2026-01-01T08:00:00Z')).toBe(0);
  expect(await machinesAt('at=2026-01-15T08:00:00Z')).toBe(1);
  expect(await machinesAt('at=2026-02-03T08:00:00Z')).toBe(0);
  expect(await machinesAt('at=2026-02-03T08:00:00Z&knownAt=2026-02-04T08:00:00Z')).toBe(1);
  expect(await machinesAt('')).toBe(0);
  const before = await reachOf(taken, '?at=2026-02-01T08:00:00Z');
  expect(before.where?.holder?.kind).toBe('store');
  expect((await reachOf(taken, '?at=2026-01-01T08:00:00Z')).where).toBeNull();
});

test('a box that was bagged lately is empty since then, also where the books are asked as of before the room had counted', async () => {
  const bagged = await makeRunningSite(office);
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: bagged.machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
  await collect(bagged, '2026-02-24', '90.00');
  const { id } = (await office.post('/v1/collections', { siteId: bagged.site.id, happenedAt: moment('2026-03-20') }).expect(201)).body as Made;
  await office.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-71', seal: nextCode('S') }] }).expect(201);
  const before = api.clock.now().toISOString();
  api.clock.advance({ milliseconds: 60_000 });
  // Whoever entered the visit is told nothing of the box.
  const collectedBy = async (knownAt: string) => ((await api.operator.as('reviewer').get(`/v1/key-codes/${cut.id}/reach?at=${before}&knownAt=${knownAt}`).expect(200)).body as KeyReach).machines[0]?.cash?.lastCollectedOn;
  expect(await collectedBy(before)).toBe('2026-03-20');
  // The visit is discarded later; what was known before that stays so.
  await api.operator.as('owner').post(`/v1/collections/${id}/discard`, { reason: 'Entered for another site' }).expect(200);
  expect([await collectedBy(before), await collectedBy(api.clock.now().toISOString())]).toEqual(['2026-03-20', '2026-02-24']);
  api.clock.advance({ milliseconds: -60_000 });
});

test('sums hold no money that no machine shows: one that reports, and was bagged and never counted, is without estimate', async () => {
  const inn = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, inn.machine.id);
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: inn.machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
  const { id: collectionId } = (await office.post('/v1/collections', { siteId: inn.site.id, happenedAt: '2026-03-20T18:00:00Z' }).expect(201)).body as Made;
  await office.post(`/v1/collections/${collectionId}/bags`, { bags: [{ number: 'B-72', seal: nextCode('S') }] }).expect(201);
  await office.post(`/v1/machines/${inn.machine.id}/meter-readings`, { occasion: 'collection', collectionId, readings: [{ meterId, value: '00500' }] }).expect(201);
  const token = (await office.post('/v1/machine-tokens', { machineId: inn.machine.id }).expect(201)).body as { secret: string };
  const report = { machineTag: inn.machine['tag'], readings: [{ meter: 'Coins', value: '00580', readAt: '2026-03-31T11:00:00Z' }], events: [] };
  await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${token.secret}`).send(report).expect(200);
  const reach = (await api.operator.as('reviewer').get(`/v1/key-codes/${cut.id}/reach`).expect(200)).body as KeyReach;
  expect(reach).toMatchObject({ machines: [{ cash: null }], cash: [usd('0.00')], sites: [{ cash: usd('0.00') }], machinesWithoutEstimate: 1 });
});

test('a machine that moved is reached where it stands now', async () => {
  const cut = await keys.cut({ class: 'cash-box' });
  const machine = await makeMachine(office);
  await keys.lock({ machineId: machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
  await makePlacement(office, { machineId: machine.id, siteId: rich.site.id, placedOn: '2026-01-01', removedOn: '2026-02-01' });
  await makePlacement(office, { machineId: machine.id, siteId: poor.site.id, placedOn: '2026-02-01' });
  const siteAt = async (query: string) => ((await office.get(`/v1/key-codes/${cut.id}/reach${query}`).expect(200)).body as KeyReach).machines[0]?.siteId;
  // The day of the site: at 05:30 UTC it is still January in Chicago.
  expect(await siteAt('?at=2026-02-01T05:30:00Z')).toBe(rich.site.id);
  expect(await siteAt('?at=2026-02-01T06:30:00Z')).toBe(poor.site.id);
  expect(await siteAt('')).toBe(poor.site.id);
});

test('only who looks after keys or books may ask, and an unknown copy is not found', async () => {
  await api.operator.as('collector').get(`/v1/key-copies/${taken.id}/reach`).expect(403);
  await api.operator.as('site-manager').get(`/v1/key-codes/${taken.keyCodeId}/reach`).expect(403);
  await api.other.as('owner').get(`/v1/key-copies/${taken.id}/reach`).expect(404);
});

test('nothing is estimated for who has a hand in a count that waits there', async () => {
  await makeCollection(office, rich.site, [count(rich.machine, '5.00', '0.00')], { happenedAt: moment('2026-03-30') });
  const cashAt = ({ reach }: CopyReach, { machine }: Running) => reach.machines.find(({ machineId }) => machineId === machine.id)?.cash;
  const asked = await reachOf(taken);
  expect(cashAt(asked, rich)).toBeNull();
  expect(cashAt(asked, poor)).not.toBeNull();
  expect(asked.reach.sites.find(({ siteId }) => siteId === rich.site.id)?.cash).toEqual(usd('0.00'));
  const { body } = await api.operator.as('reviewer').get(`/v1/key-copies/${taken.id}/reach`).expect(200);
  expect(cashAt(body as CopyReach, rich)).toMatchObject({ lastCollectedOn: '2026-03-30' });
});
