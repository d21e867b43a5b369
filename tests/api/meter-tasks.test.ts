import type { MeterTasks } from '#contracts/meter-task';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makeGame, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, collector] = (['bookkeeper', 'collector'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number, hour = 12) => `2026-05-${String(day).padStart(2, '0')}T${String(hour).padStart(2, '0')}:00:00-05:00`;

/** A machine with a meter of coins and one of notes, and another site to which it may go. */
async function twoSites() {
  const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
  const { machine } = from;
  const { meterIds } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Notes', tender: 'note', value: '0' })] });
  const [coins = '', notes = ''] = meterIds;
  const tasks = async () => (await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks;
  const missing = async () => (await tasks()).readings.map(({ occasion, meters }) => [occasion, ...meters.map(({ label }) => label)]);
  const move = (more: object = {}) => office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: '2026-05-12', ...more });
  const shown = (coin: string, note: string) => [{ meterId: coins, value: coin }, { meterId: notes, value: note }];
  return { from, to, machine, coins, notes, tasks, missing, move, shown };
}

test('a move that brings its readings leaves nothing to be entered, and what was read as it left serves for where it came to', async () => {
  const { machine, missing, move, shown } = await twoSites();
  await move({ metersAtRemoval: { readAt: at(12, 9), readings: shown('40', '7') } }).expect(201);
  expect(await missing()).toEqual([]);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { occasion: string; value: string }[] };
  expect(items.map(({ occasion, value }) => [occasion, value]).slice(2)).toEqual([['removal', '00040'], ['removal', '00007']]);
});

test('a move without readings stands, and is listed until each meter has a reading or a reason', async () => {
  const { from, to, machine, coins, notes, tasks, missing, move } = await twoSites();
  await move({ metersAtRemoval: { readAt: at(12, 9), readings: [], unread: [{ meterId: notes, why: 'meter-broken' }] } }).expect(201);
  expect((await tasks()).readings).toMatchObject([
    { occasion: 'placement', siteCode: to.site['code'], day: '2026-05-12', meters: [{ label: 'Coins' }, { label: 'Notes' }] },
    { occasion: 'removal', siteCode: from.site['code'], day: '2026-05-12', at: '2026-05-12T05:00:00.000Z', meters: [{ meterId: coins }] },
  ]);
  const record = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, { happenedAt: at(12, 10), readings: [{ meterId: coins, value: '40' }], ...body });
  // Without a reason each meter is still read, and at a change of price in any case.
  expect((await record({ occasion: 'removal' }).expect(422)).body).toMatchObject({ errors: [{ code: 'reading-missing' }] });
  expect((await record({ occasion: 'board-access', readings: [{ meterId: coins, value: '40', valueAfter: '40' }], unread: [{ meterId: notes, why: 'meter-broken' }] }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/unread/0', code: 'not-for-occasion' }] });
  await record({ occasion: 'removal', unread: [{ meterId: notes, why: 'meter-broken' }] }).expect(201);
  expect(await missing()).toEqual([['placement', 'Notes']]);
  await record({ occasion: 'placement', happenedAt: at(12, 15), readings: [], unread: [{ meterId: notes, why: 'meter-broken' }, { meterId: coins, why: 'not-reached' }] }).expect(201);
  expect(await missing()).toEqual([]);
});

test('what was read where it came to says nothing of how it left', async () => {
  const { missing, move, shown } = await twoSites();
  await move({ metersAtPlacement: { readAt: at(12, 15), readings: shown('40', '7') } }).expect(201);
  expect(await missing()).toEqual([['removal', 'Coins', 'Notes']]);
});

test('taking a machine away and placing it take readings of the day at the site, and of no other', async () => {
  const { from, to, machine, missing, shown } = await twoSites();
  const end = (readAt: string | undefined) => office.post(`/v1/placements/${from.placement.id}/end`, { removedOn: '2026-05-12', meters: { readAt, readings: shown('40', '7') } });
  expect((await end(at(13)).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/readAt', code: 'other-day' }] });
  expect((await end(undefined).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/readAt', code: 'missing' }] });
  await end(at(12)).expect(200);
  const place = (coin: string) => office.post('/v1/placements', { machineId: machine.id, siteId: to.site.id, placedOn: '2026-05-20', meters: { readAt: at(20), readings: shown(coin, '7') } });
  // A value that cannot be is sent back once, and the machine is not placed by it.
  expect((await place('30').expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/readings/0/value', code: 'read-again' }] });
  await place('41').expect(201);
  expect(await missing()).toEqual([]);
});

test('an outage asks for readings as it begins and as it ends', async () => {
  const { machine, missing, shown } = await twoSites();
  const report = (body: object) => collector.post('/v1/outages', { machineId: machine.id, cause: 'Coin jam', ...body });
  await report({ startedAt: at(5), metersAtStart: { readings: shown('10', '1') } }).expect(201);
  expect(await missing()).toEqual([]);
  const [open] = ((await office.get(`/v1/outages?machineId=${machine.id}`).expect(200)).body as { items: { id: string }[] }).items;
  await collector.post(`/v1/outages/${open?.id ?? ''}/end`, { endedAt: at(6), remedy: 'Cleared it' }).expect(200);
  expect(await missing()).toEqual([['in-service', 'Coins', 'Notes']]);
  await collector.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(6, 13), readings: shown('10', '1') }).expect(201);
  expect(await missing()).toEqual([]);
  await report({ startedAt: at(8), endedAt: at(9), remedy: 'Cleared it', metersAtEnd: { readings: shown('10', '1') } }).expect(201);
  expect(await missing()).toEqual([['out-of-service', 'Coins', 'Notes']]);
  expect((await report({ startedAt: at(20), metersAtEnd: { readings: [] } }).expect(400)).body).toMatchObject({ errors: [{ pointer: '#/metersAtEnd', code: 'one-of-two' }] });
});

test('a machine that leaves without its box being counted is a question until a count says what was in it', async () => {
  const { from, to, machine, tasks, move, shown } = await twoSites();
  await move({ metersAtRemoval: { readAt: at(12, 9), readings: shown('40', '7') } }).expect(201);
  expect((await tasks()).removals).toMatchObject([{ placementId: from.placement.id, siteCode: from.site['code'], removedOn: '2026-05-12', nextSiteCode: to.site['code'] }]);
  await makeAcceptedCollection(office, from.site, [count(machine, '10.00', '7.00', { removal: true })], { happenedAt: at(12, 10) });
  expect((await tasks()).removals).toEqual([]);
});

test('a change of the game takes what the meters showed before and after, and the interval goes on across it in two parts', async () => {
  const { machine, coins, notes, missing } = await twoSites();
  const [first, second, third] = [await makeGame(office), await makeGame(office), await makeGame(office)];
  const installed = await office.post('/v1/installations', { machineId: machine.id, gameId: first.id, installedOn: '2026-05-02' }).expect(201);
  // A first game is no change.
  expect(await missing()).toEqual([]);
  const replace = (meters: object | undefined, replacedOn = '2026-05-12') => office.post(`/v1/installations/${String(installed.body.id)}/replace`, { gameId: second.id, replacedOn, meters });
  const pair = (meterId: string, value: string, valueAfter: string) => ({ meterId, value, valueAfter });
  expect((await replace({ readAt: at(12), readings: [{ meterId: coins, value: '40' }] }).expect(400)).body).toMatchObject({ errors: [{ pointer: '#/meters/readings/0/valueAfter' }] });
  expect((await replace({ readAt: at(13), readings: [pair(coins, '40', '44')] }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/readAt', code: 'other-day' }] });
  const replaced = await replace({ readAt: at(12), readings: [pair(coins, '40', '44')], unread: [{ meterId: notes, why: 'meter-broken' }] }).expect(201);
  expect(await missing()).toEqual([]);
  const record = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, body);
  await record({ occasion: 'in-service', happenedAt: at(14), readings: [{ meterId: coins, value: '54' }, { meterId: notes, value: '3' }] }).expect(201);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { meterId: string; happenedAt: string; occasion: string; phase: string; value: string; interval: { kind: string; units: string } | null }[] };
  const ofCoins = items.filter(({ meterId }) => meterId === coins).map(({ occasion, phase, value, interval }) => [occasion, phase, value, interval?.kind, interval?.units]);
  // What the meter counted while the game was changed was no play: 40 and 10 are, and the 4 between are not.
  expect(ofCoins).toEqual(expect.arrayContaining([['game-change', 'before', '00040', 'forward', '40'], ['game-change', 'after', '00044', 'board-open', '0'], ['in-service', 'only', '00054', 'forward', '10']]));
  // Without readings it stands all the same and is listed; a single reading of that day says neither before nor after.
  await office.post(`/v1/installations/${String(replaced.body.begun.id)}/replace`, { gameId: third.id, replacedOn: '2026-05-20' }).expect(201);
  await record({ occasion: 'out-of-service', happenedAt: at(20, 8), readings: [{ meterId: coins, value: '60' }, { meterId: notes, value: '3' }] }).expect(201);
  expect(await missing()).toEqual([['game-change', 'Coins', 'Notes']]);
  expect((await record({ occasion: 'game-change', happenedAt: at(20, 9), readings: [{ meterId: coins, value: '60' }], unread: [{ meterId: notes, why: 'meter-broken' }] }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/readings/0/valueAfter', code: 'after-reading-missing' }] });
  await record({ occasion: 'game-change', happenedAt: at(20, 9), readings: [pair(coins, '60', '60')], unread: [{ meterId: notes, why: 'meter-broken' }] }).expect(201);
  expect(await missing()).toEqual([]);
});

test('a game that is taken out asks for the meters as well', async () => {
  const { machine, coins, notes, missing } = await twoSites();
  const [first, second] = [await makeGame(office), await makeGame(office)];
  const installed = await office.post('/v1/installations', { machineId: machine.id, gameId: first.id, installedOn: '2026-05-02' }).expect(201);
  const both = (value: string) => [coins, notes].map((meterId) => ({ meterId, value, valueAfter: value }));
  const end = (meters?: object) => office.post(`/v1/installations/${String(installed.body.id)}/end`, { removedOn: '2026-05-12', meters });
  expect((await end({ readAt: at(12), readings: [{ meterId: coins, value: '1234567', valueAfter: '1' }] }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/meters/readings/0/value', code: 'too-many-digits' }] });
  // What was refused left the game where it was.
  await end({ readAt: at(12), readings: both('9') }).expect(200);
  await office.post('/v1/installations', { machineId: machine.id, gameId: second.id, installedOn: '2026-05-20' }).expect(201);
  expect(await missing()).toEqual([['game-change', 'Coins', 'Notes']]);
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'game-change', happenedAt: at(20), readings: both('9') }).expect(201);
  expect(await missing()).toEqual([]);
});

test('a meter that was read at that very moment is not asked again, and one that was not is', async () => {
  const { machine, coins, notes, missing, move } = await twoSites();
  await move({ metersAtRemoval: { readAt: at(12, 9), readings: [{ meterId: coins, value: '40' }] } }).expect(201);
  const record = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'removal', ...body });
  const note = { readings: [{ meterId: notes, value: '7' }] };
  expect((await record({ happenedAt: at(12, 10), ...note }).expect(422)).body).toMatchObject({ errors: [{ code: 'reading-missing' }] });
  expect((await record({ happenedAt: at(12, 9), readings: [], unread: [{ meterId: coins, why: 'not-reached' }] }).expect(422)).body).toMatchObject({ errors: [{ code: 'reading-missing' }] });
  // One value is not the two of an open board.
  expect((await record({ occasion: 'board-access', happenedAt: at(12, 9), readings: [{ meterId: notes, value: '7', valueAfter: '7' }] }).expect(422)).body).toMatchObject({ errors: [{ code: 'reading-missing' }] });
  await record({ happenedAt: at(12, 9), ...note }).expect(201);
  expect(await missing()).toEqual([]);
});

test('a change of price holds without readings, is listed until they are given for its very moment, and what was played across it is known only then', async () => {
  const { site, machine } = await makeRunningSite(office);
  const { meterIds: [plays = '', tests = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '0' }), meterFields({ label: 'Tests', tender: 'test-plays', unitValue: usd('0.50'), value: '0' })] });
  const record = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(10), ...body });
  const newUnitValues = [plays, tests].map((meterId) => ({ meterId, unitValue: usd('1.00') }));
  const missing = async () => ((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings.map(({ occasion, at: moment, meters }) => [occasion, moment, ...meters.map(({ label }) => label)]);
  expect((await record({}).expect(400)).body).toMatchObject({ errors: [{ pointer: '#/readings', code: 'missing' }] });
  // With a reading of one meter the others are read as well, or it is said why not.
  expect((await record({ newUnitValues, readings: [{ meterId: plays, value: '20' }] }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/readings', code: 'reading-missing' }] });
  await record({ newUnitValues }).expect(201);
  expect(await missing()).toEqual([['price-change', '2026-05-10T17:00:00.000Z', 'Plays', 'Tests']]);
  await record({ happenedAt: at(10, 13), readings: [{ meterId: plays, value: '20' }, { meterId: tests, value: '0' }] }).expect(422);
  const visit = await makeAcceptedCollection(office, site, [count(machine, '20.00', '0.00', { readings: [{ meterId: plays, value: '30' }, { meterId: tests, value: '0' }] })], { happenedAt: at(20) });
  const compared = async () => (await api.operator.as('reviewer').get(`/v1/collections/${visit.id}/variances`).expect(200)).body.items as object[];
  expect(await compared()).toMatchObject([{ expected: null, variance: null, unknown: ['price-unread'] }]);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { meterId: string; value: string; interval: { acrossPrices: boolean; value: object | null } | null }[] };
  expect(items.find(({ meterId, value }) => meterId === plays && value === '00030')?.interval).toMatchObject({ acrossPrices: true, value: null });
  await record({ readings: [{ meterId: plays, value: '20' }], unread: [{ meterId: tests, why: 'display-dark' }] }).expect(201);
  // A reason says nothing of what was played at which price: the meter stays on the list.
  expect(await missing()).toEqual([['price-change', '2026-05-10T17:00:00.000Z', 'Tests']]);
  // 20 plays at 0.50 and 10 at 1.00; no test was played, so that its meter need not be known.
  expect(await compared()).toMatchObject([{ expected: usd('20.00'), variance: usd('0.00'), unknown: [] }]);
});

test('whoever collects changes no price without reading the meter; the office may, and the count across it is flagged and its reading stays on the list, whatever reason is given', async () => {
  const { site, machine } = await makeRunningSite(office);
  const { meterIds: [coins = '', notes = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '0' })] });
  const change = (client: TestClient, day: number, price: string, more: object) =>
    client.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(day), newUnitValues: [{ meterId: coins, unitValue: usd(price) }], ...more });
  const read = (coin: string) => ({ readings: [{ meterId: coins, value: coin }, { meterId: notes, value: '0' }] });
  const bothUnread = { unread: [coins, notes].map((meterId) => ({ meterId, why: 'not-reached' })) };
  const coinsUnread = { readings: [{ meterId: notes, value: '0' }], unread: [{ meterId: coins, why: 'not-reached' }] };
  for (const more of [{}, bothUnread, coinsUnread]) expect((await change(collector, 4, '0.26', more).expect(403)).body).toMatchObject({ code: 'not-allowed', detail: expect.stringContaining('reads the meter') });
  await change(collector, 4, '0.30', read('100')).expect(201);
  const counted = async (day: number, coin: string, shown: string) => (await makeAcceptedCollection(office, site, [count(machine, coin, '0.00', read(shown))], { happenedAt: at(day) })).id;
  const flagsOf = async (id: string) => ((await office.get(`/v1/variance-flags?machineId=${machine.id}`).expect(200)).body as { items: { collectionId: string; state: string; reasons: string[] }[] }).items.filter(({ collectionId }) => collectionId === id).map(({ state, reasons }) => [state, ...reasons]);
  // 100 coins at 0.25 and 100 at 0.30.
  expect(await flagsOf(await counted(8, '55.00', '200'))).toEqual([]);
  await change(office, 10, '0.31', bothUnread).expect(201);
  // Of 100 coins half are missing, and nothing is compared: that itself is for somebody to look at.
  expect(await flagsOf(await counted(20, '15.50', '300'))).toEqual([['open', 'meters-not-read']]);
  const { readings } = (await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks;
  expect(readings.map(({ occasion, at: moment, meters }) => [occasion, moment, ...meters.map(({ label }) => label)])).toEqual([['price-change', '2026-05-10T17:00:00.000Z', 'Coins', 'Notes']]);
});
