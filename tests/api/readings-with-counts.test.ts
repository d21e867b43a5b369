import type { CollectionVariances, VarianceChart, VarianceFlagDetail, VarianceMonth } from '#contracts/variance';
import type { VarianceAttribution } from '#contracts/variance-attribution';
import type { VarianceReport } from '#contracts/variance-report';
import { labelRelaxed } from '#backoffice/policy/policy.sql';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, usd } from '#tests/support/collecting';
import { asTenant } from '#tests/support/database';
import { bindToPerson, heldBy, inStore, keyBooks } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makeMachine, makePerson, makePlacement, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [owner, office, collector, reviewer] = (['owner', 'bookkeeper', 'collector', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

/** A bar with one machine whose board counts quarters and dollar notes, fitted as the month began. */
async function meteredBar(more: readonly object[] = []) {
  const bar = await makeRunningSite(office);
  const meters = [meterFields({ value: '100' }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '10' }), ...more];
  const { meterIds } = await fitBoard(office, bar.machine.id, { fittedAt: '2026-05-01T12:00:00-05:00', meters });
  const [coins = '', notes = '', plays = ''] = meterIds;
  const counted = async (day: number, cash: readonly [coin: string, note: string], shown: { coins?: string; notes?: string; plays?: string }) => {
    const values = [[coins, shown.coins], [notes, shown.notes], [plays, shown.plays]] as const;
    const readings = values.flatMap(([meterId, value]) => (value === undefined ? [] : [{ meterId, value }]));
    const made = await makeCollection(collector, bar.site, [count(bar.machine, ...cash, { readings })], { happenedAt: at(day) });
    await office.post(`/v1/collections/${made.id}/accept`).expect(200);
    return made;
  };
  return { ...bar, coins, notes, counted };
}
const variancesOf = async (id: string) => (await reviewer.get(`/v1/collections/${id}/variances`).expect(200)).body as CollectionVariances;
const linesOf = async (id: string) => (await variancesOf(id)).items.map(({ tender, expected, counted, unknown, counts }) => [tender, expected?.amount ?? null, counted.amount, counts, ...unknown]);

test('readings come with the counts, and each tender is compared with its own meter', async () => {
  const bar = await meteredBar([meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '0' })]);
  const made = await bar.counted(5, ['20.00', '55.00'], { coins: '200', notes: '60', plays: '150' });
  expect(await linesOf(made.id)).toEqual([['coin', '25.00', '20.00', 1], ['note', '50.00', '55.00', 1]]);
  expect((await variancesOf(made.id)).witnesses).toMatchObject([{ expected: usd('75.00'), plays: usd('75.00'), counted: usd('75.00'), result: 'all-agree' }]);
  const { body } = await reviewer.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200);
  expect(body.items).toContainEqual(expect.objectContaining({ collectionId: made.id, value: '00200', occasion: 'collection' }));
});

test('plays of a board that knows neither coins nor notes are compared with both together', async () => {
  const { site, machine } = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('1.00'), value: '0' })] });
  const counted = async (day: number, cash: readonly [string, string], value: string | null) => {
    const { id } = await makeCollection(collector, site, [count(machine, ...cash, { readings: value === null ? [] : [{ meterId, value }] })], { happenedAt: at(day) });
    await office.post(`/v1/collections/${id}/accept`).expect(200);
    return id;
  };
  const flagsOf = async () => ((await reviewer.get(`/v1/variances?month=2026-05&siteId=${site.id}`).expect(200)).body as VarianceMonth).flags.map(({ reasons, figures }) => [reasons, figures.map(({ tender, variance }) => [tender, variance?.amount ?? null])]);
  // 500 plays at 1.00 were paid with 180.00 in coins and 320.00 in notes: nothing is missing.
  expect(await linesOf(await counted(5, ['180.00', '320.00'], '500'))).toEqual([['cash', '500.00', '500.00', 1]]);
  expect(await flagsOf()).toEqual([]);
  expect(await linesOf(await counted(9, ['10.00', '0.00'], null))).toEqual([['cash', null, '10.00', 1, 'not-read']]);
  // 40.00 are missing, in whichever of the two.
  expect(await linesOf(await counted(13, ['150.00', '300.00'], '1000'))).toEqual([['cash', '500.00', '460.00', 2]]);
  expect(await flagsOf()).toEqual([[['tolerance'], [['cash', '-40.00']]]]);
});

test('a missed reading is compared with all that was counted since, and is named before', async () => {
  const bar = await meteredBar();
  const missed = await bar.counted(5, ['10.00', '5.00'], { notes: '15' });
  const later = await bar.counted(9, ['14.00', '5.00'], { coins: '200', notes: '20' });
  expect(await linesOf(missed.id)).toEqual([['coin', null, '10.00', 1, 'not-read'], ['note', '5.00', '5.00', 1]]);
  expect(await linesOf(later.id)).toEqual([['coin', '25.00', '24.00', 2], ['note', '5.00', '5.00', 1]]);
  // None read at all: both are named, and a count that is corrected afterwards changes the sum of which it is a part.
  const unread = await bar.counted(12, ['1.00', '1.00'], {});
  expect(await linesOf(unread.id)).toEqual([['coin', null, '1.00', 1, 'not-read'], ['note', null, '1.00', 1, 'not-read']]);
  const correction = { countId: missed.counts[0]?.id, coin: usd('11.00'), note: usd('5.00'), reason: 'A roll was found.' };
  await owner.post(`/v1/collections/${missed.id}/corrections`, correction).expect(200);
  expect((await linesOf(later.id))[0]).toEqual(['coin', '25.00', '25.00', 2]);
});

test('while an older bag waits nothing is short: its count is compared when it is accepted or discarded, and no flag goes out before', async () => {
  const flags = async (bar: { site: { id: string } }) => ((await office.get(`/v1/variances?month=2026-05&siteId=${bar.site.id}`).expect(200)).body as VarianceMonth).flags.map(({ reasons }) => reasons);
  const older = (bar: Awaited<ReturnType<typeof meteredBar>>) => makeCollection(collector, bar.site, [count(bar.machine, '100.00', '0.00')], { happenedAt: at(9) });
  const outcomes = { accepted: 'accept', discarded: 'discard' } as const;
  for (const [state, path] of Object.entries(outcomes)) {
    const bar = await meteredBar();
    await bar.counted(5, ['50.00', '0.00'], { coins: '300', notes: '10' });
    const waiting = await older(bar);
    const later = await bar.counted(14, ['100.00', '0.00'], { coins: '1100', notes: '10' });
    expect(await linesOf(later.id)).toEqual([['coin', null, '100.00', 1, 'count-waits'], ['note', null, '0.00', 1, 'count-waits']]);
    expect(await flags(bar)).toEqual([]);
    await owner.post(`/v1/collections/${waiting.id}/${path}`, state === 'discarded' ? { reason: 'Entered for another bar.' } : undefined).expect(200);
    expect((await linesOf(later.id))[0]).toEqual(state === 'accepted' ? ['coin', '200.00', '200.00', 2] : ['coin', '200.00', '100.00', 1]);
    expect(await flags(bar)).toEqual(state === 'accepted' ? [] : [['tolerance']]);
  }
});

test('bags of which nobody has said yet what machine they are of may hold the missing cash, until they are counted', async () => {
  const bar = await meteredBar();
  await bar.counted(5, ['50.00', '0.00'], { coins: '300', notes: '10' });
  const other = await makeMachine(office);
  await makePlacement(office, { machineId: other.id, siteId: bar.site.id });
  const open = await makeCollection(collector, bar.site, [], { happenedAt: at(9), bagged: true });
  const later = await bar.counted(14, ['100.00', '0.00'], { coins: '1100', notes: '10' });
  expect((await linesOf(later.id))[0]).toEqual(['coin', null, '100.00', 1, 'count-waits']);
  // Its bags held the cash of another machine.
  await office.post(`/v1/collections/${open.id}/counts`, { counts: [count(other, '10.00', '0.00')] }).expect(200);
  await owner.post(`/v1/collections/${open.id}/accept`).expect(200);
  expect((await linesOf(later.id))[0]).toEqual(['coin', '200.00', '100.00', 1]);
});

test('who could open the box is asked since the reading before, where one was missed', async () => {
  const bar = await meteredBar();
  await bar.counted(5, ['50.00', '0.00'], { coins: '300', notes: '10' });
  await bar.counted(9, ['100.00', '0.00'], {});
  const later = await bar.counted(14, ['50.00', '0.00'], { coins: '1100', notes: '10' });
  expect((await linesOf(later.id))[0]).toEqual(['coin', '200.00', '150.00', 2]);
  const [flag] = ((await office.get(`/v1/variances?month=2026-05&siteId=${bar.site.id}`).expect(200)).body as VarianceMonth).flags;
  const { openers } = (await reviewer.get(`/v1/variance-flags/${flag?.id ?? ''}`).expect(200)).body as VarianceFlagDetail;
  expect(openers?.from).toBe(new Date(at(5)).toISOString());
});

test('shortages of a time with a missed reading are held against who had the keys in any of it', async () => {
  const bar = await meteredBar();
  const keys = keyBooks(api.operator);
  const [early, late] = [await makePerson(owner), await makePerson(owner)];
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: bar.machine.id, cut, opens: 'everything', fittedAt: at(1) });
  const safe = await keys.store();
  const copy = await keys.copy({ cut, storeId: safe, madeAt: at(1) });
  for (const [personId, from, to] of [[early.id, 6, 8], [late.id, 10, 12]] as const) {
    await keys.happen(copy, { says: 'issued', at: at(from), from: inStore(safe), to: heldBy(personId) });
    await keys.happen(copy, { says: 'returned', at: at(to), from: heldBy(personId), to: inStore(safe) });
  }
  await bar.counted(5, ['50.00', '0.00'], { coins: '300', notes: '10' });
  await bar.counted(9, ['100.00', '0.00'], {});
  await bar.counted(14, ['50.00', '0.00'], { coins: '1100', notes: '10' });
  await bar.counted(20, ['25.00', '0.00'], { coins: '1200', notes: '10' });
  const found = (await owner.get('/v1/variances/attribution?from=2026-05-06&to=2026-05-31').expect(200)).body as VarianceAttribution;
  const heldOf = (person: { id: string }) => found.items.find(({ person: { personId } }) => personId === person.id)?.held;
  expect([heldOf(early), heldOf(late)]).toEqual([{ short: 1, all: 1 }, { short: 1, all: 1 }]);
});

test('a box with coins and notes is one count of the report, and its tenders can be read apart', async () => {
  const bar = await meteredBar();
  await bar.counted(5, ['20.00', '85.00'], { coins: '300', notes: '60' });
  const reportOf = async (more = '') => (await office.get(`/v1/variances/report?by=machine&from=2026-05-01&to=2026-05-31&siteId=${bar.site.id}${more}`).expect(200)).body as VarianceReport;
  expect(await reportOf()).toMatchObject({ tender: null, rows: [{ counts: 1, outOfTolerance: 1, leftOut: 0, expected: usd('100.00'), counted: usd('105.00'), shortages: usd('-30.00'), overages: usd('35.00') }] });
  expect(await reportOf('&tender=coin')).toMatchObject({ tender: 'coin', rows: [{ counts: 1, expected: usd('50.00'), shortages: usd('-30.00'), overages: usd('0.00') }] });
  expect(await reportOf('&tender=note')).toMatchObject({ tender: 'note', rows: [{ counts: 1, expected: usd('50.00'), shortages: usd('0.00'), overages: usd('35.00') }] });
  expect((await reportOf('&tender=cash')).rows).toEqual([]);
  const file = (await office.get(`/v1/variances/report/export?by=machine&tender=note&from=2026-05-01&to=2026-05-31&siteId=${bar.site.id}`).expect(200)).text.split('\r\n');
  expect(file[1]).toMatch(/,1,1,0,50\.00,85\.00,0\.00,35\.00,1,0,0,note,no$/);
});

test('a box that was read and not counted keeps its visit from the books, and its bag is still counted when it comes', async () => {
  const bar = await meteredBar();
  const other = await makeMachine(office);
  await makePlacement(office, { machineId: other.id, siteId: bar.site.id });
  const made = await makeCollection(collector, bar.site, [count(other, '1.00', '0.00')], { happenedAt: at(5) });
  await collector.post(`/v1/machines/${bar.machine.id}/meter-readings`, { occasion: 'collection', collectionId: made.id, readings: [{ meterId: bar.coins, value: '500' }, { meterId: bar.notes, value: '10' }] }).expect(201);
  const refusal = (await office.post(`/v1/collections/${made.id}/accept`).expect(409)).body as { code: string; detail: string };
  expect(refusal.code).toBe('wrong-state');
  expect(refusal.detail).toContain(`${String(bar.machine['tag'])} at ${String(bar.site['code'])} on 5 May 2026 (its meters were read)`);
  expect((await office.post('/v1/collections/accept', { collectionIds: [made.id] }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  const late = { counts: [count(bar.machine, '0.00', '0.00')] };
  expect((await collector.post(`/v1/collections/${made.id}/counts`, late).expect(403)).body).toMatchObject({ code: 'not-allowed-in-state' });
  const added = (await office.post(`/v1/collections/${made.id}/counts`, late).expect(200)).body as { state: string; counts: { id: string; machineTag: string }[] };
  expect(added).toMatchObject({ state: 'counted', counted: usd('1.00') });
  expect((await office.post(`/v1/collections/${made.id}/counts`, late).expect(409)).body).toMatchObject({ code: 'already-exists' });
  await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  const short = ['coin', '100.00', '0.00', 1];
  expect(await linesOf(made.id)).toContainEqual(short);
  const next = await bar.counted(12, ['50.00', '0.00'], { coins: '700', notes: '10' });
  expect(await linesOf(next.id)).toContainEqual(['coin', '50.00', '50.00', 1]);
  const arrived = { countId: added.counts.find(({ machineTag }) => machineTag === bar.machine['tag'])?.id, coin: usd('100.00'), note: usd('0.00'), reason: 'The bag came with the next round.' };
  expect((await office.post(`/v1/collections/${made.id}/corrections`, arrived).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await owner.post(`/v1/collections/${made.id}/corrections`, arrived).expect(200);
  expect(await linesOf(made.id)).not.toContainEqual(short);
  expect(await linesOf(made.id)).toContainEqual(['coin', '100.00', '100.00', 1]);
});

test('a corrected reading compares both counts anew; a flag that was explained stays, and says that figures changed', async () => {
  const bar = await meteredBar();
  const first = await bar.counted(5, ['125.00', '0.00'], { coins: '1200', notes: '10' });
  const second = await bar.counted(9, ['25.00', '0.00'], { coins: '1300', notes: '10' });
  expect((await linesOf(first.id))[0]).toEqual(['coin', '275.00', '125.00', 1]);
  const month = (await office.get(`/v1/variances?month=2026-05&siteId=${bar.site.id}`).expect(200)).body as VarianceMonth;
  const [flag] = month.flags;
  expect(month.flags.map(({ reasons }) => reasons)).toEqual([['tolerance']]);
  await office.post(`/v1/variance-flags/${flag?.id ?? ''}/explanation`, { cause: 'meter-error', evidence: 'The meter is read anew.' }).expect(200);
  const { body } = await office.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200);
  const wrong = (body.items as { id: string; value: string }[]).find(({ value }) => value === '01200');
  await office.post(`/v1/meter-readings/${wrong?.id ?? ''}/corrections`, { value: '600', reason: 'The first digits were swapped.' }).expect(201);
  expect([(await linesOf(first.id))[0], (await linesOf(second.id))[0]]).toEqual([['coin', '125.00', '125.00', 1], ['coin', '175.00', '25.00', 1]]);
  const detail = (await reviewer.get(`/v1/variance-flags/${flag?.id ?? ''}`).expect(200)).body as VarianceFlagDetail;
  expect([detail.flag.state, detail.history.map(({ kind }) => kind)]).toEqual(['explained', ['raised', 'explained', 'changed']]);
  expect(((await office.get(`/v1/variances?month=2026-05&siteId=${bar.site.id}`).expect(200)).body as VarianceMonth).openFlags).toBe(1);
});

test('a value that cannot be is sent back once, with nothing else wrong, and is taken and flagged the second time', async () => {
  const bar = await meteredBar();
  const body = (value: string, more: object = {}) => ({ siteId: bar.site.id, happenedAt: at(5), counts: [count(bar.machine, '10.00', '5.00', { readings: [{ meterId: bar.coins, value }], ...more })] });
  // With something else wrong nothing is said of the reading, neither to a right nor to a wrong one.
  for (const value of ['90', '120']) expect(errorsOf(await collector.post('/v1/collections', body(value, { coin: { amount: '1.00', currency: 'EUR' } })).expect(422))).toEqual(['#/counts/0/coin/currency other-currency']);
  const tries = [collector.post('/v1/collections', body('90')), collector.post('/v1/collections', body('91'))];
  const statuses = (await Promise.all(tries)).map(({ status }) => status).sort();
  expect(statuses).toEqual([201, 422]);
  const { body: list } = await office.get(`/v1/collections?siteId=${bar.site.id}`).expect(200);
  const id = (list.items as { id: string }[])[0]?.id ?? '';
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  expect((await linesOf(id))[0]).toEqual(['coin', null, '10.00', 1, 'reset-or-wrong']);
  const month = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${bar.site.id}`).expect(200)).body as VarianceMonth;
  expect(month.flags.map(({ reasons }) => reasons)).toEqual([['meters-implausible']]);
  expect(month.totals).toMatchObject([{ tender: 'coin', counts: 0, unknown: 1, expected: usd('0.00') }, { tender: 'note', counts: 0, unknown: 1 }]);
});

test('a fall that a reset explains as well as a rollover is no revenue before a second person says which', async () => {
  const { site, machine } = await makeRunningSite(office);
  // Two weeks at 300 an hour are 100,800, and five digits show 100,000: 40000 -> 00120 would be 60,120 quarters.
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '40000', mostPerHour: 300 })] });
  const sent = (more: object) => collector.post('/v1/collections', { siteId: site.id, happenedAt: at(15), counts: [count(machine, '80.00', '0.00', { readings: [{ meterId, value: '00120', ...more }] })] });
  expect(errorsOf(await sent({}).expect(422))).toEqual(['#/counts/0/readings/0/value read-again']);
  const { id } = (await sent({ readAgain: true }).expect(201)).body as { id: string };
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  expect(await linesOf(id)).toEqual([['coin', null, '80.00', 1, 'rollover-or-reset']]);
  const { flags } = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${site.id}`).expect(200)).body as VarianceMonth;
  expect(flags.map(({ reasons }) => reasons)).toEqual([['meters-implausible']]);

  const latest = async () => ((await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body.items as { id: string; replacedById: string | null; passedEnd: boolean; interval: object | null }[]).findLast(({ replacedById }) => replacedById === null);
  const correct = async (client: TestClient, more: object) => client.post(`/v1/meter-readings/${(await latest())?.id ?? ''}/corrections`, { value: '00120', reason: 'Looked at it with the collector.', ...more });
  expect(await latest()).toMatchObject({ passedEnd: false, interval: { kind: 'rollover-or-reset', units: null, value: null } });
  expect(errorsOf(await correct(office, { value: null, passedEnd: true }))).toEqual(['#/passedEnd one-of-two']);
  // That it showed so says nothing of why.
  expect((await correct(office, {})).status).toBe(201);
  expect(await linesOf(id)).toEqual([['coin', null, '80.00', 1, 'rollover-or-reset']]);
  expect((await correct(owner, { passedEnd: true })).status).toBe(201);
  expect(await latest()).toMatchObject({ passedEnd: true, interval: { kind: 'rollover', units: '60120', value: usd('15030.00') } });
  expect(await linesOf(id)).toEqual([['coin', '15030.00', '80.00', 1]]);
  // Somebody else looks at it once more: what was said of it stays, and of another value it has to be said.
  expect((await correct(office, {})).status).toBe(201);
  expect(await latest()).toMatchObject({ passedEnd: true, interval: { kind: 'rollover', units: '60120' } });
  expect(errorsOf(await correct(owner, { value: '00130' }))).toEqual(['#/passedEnd say-anew']);
  // It was none, and what was said is taken back; at 40,200 it was set back on the day before.
  expect((await correct(owner, { passedEnd: false })).status).toBe(201);
  await collector.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'board-access', happenedAt: at(14), readings: [{ meterId, value: '40200', valueAfter: '00000' }] }).expect(201);
  expect(await linesOf(id)).toEqual([['coin', '80.00', '80.00', 1]]);
});

test('what meters imply is not typed beside meters that are recorded, and a reading belongs to the machine of its count', async () => {
  const bar = await meteredBar();
  const other = await meteredBar();
  const sent = (more: object) => collector.post('/v1/collections', { siteId: bar.site.id, happenedAt: at(6), counts: [count(bar.machine, '10.00', '5.00', more)] });
  expect(errorsOf(await sent({ meteredAmount: usd('15.00') }).expect(422))).toEqual(['#/counts/0/meteredAmount meters-recorded']);
  expect(errorsOf(await sent({ readings: [{ meterId: other.coins, value: '120' }] }).expect(422))).toEqual(['#/counts/0/readings/0/meterId unknown']);
  expect(errorsOf(await sent({ readings: [{ meterId: bar.coins, value: '120' }, { meterId: bar.coins, value: '121' }] }).expect(422))).toEqual(['#/counts/0/readings/1/meterId read-twice']);
  expect(errorsOf(await sent({ readings: [{ meterId: bar.coins, value: '100000' }] }).expect(422))).toEqual(['#/counts/0/readings/0/value too-many-digits']);
});

test('a reading that parts two prices is not taken back without another in its place', async () => {
  const bar = await meteredBar();
  const price = { happenedAt: at(4), occasion: 'price-change', readings: [{ meterId: bar.coins, value: '150' }, { meterId: bar.notes, value: '12' }], newUnitValues: [{ meterId: bar.coins, unitValue: usd('0.50') }] };
  await collector.post(`/v1/machines/${bar.machine.id}/meter-readings`, price).expect(201);
  const made = await bar.counted(8, ['37.50', '10.00'], { coins: '200', notes: '20' });
  expect((await linesOf(made.id))[0]).toEqual(['coin', '37.50', '37.50', 1]);
  const { body } = await office.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200);
  const parting = (body.items as { id: string; value: string }[]).find(({ value }) => value === '00150');
  const takeBack = { value: null, reason: 'Read at another machine.' };
  expect(errorsOf(await office.post(`/v1/meter-readings/${parting?.id ?? ''}/corrections`, takeBack).expect(422))).toEqual(['#/value reading-compulsory']);
  await office.post(`/v1/meter-readings/${parting?.id ?? ''}/corrections`, { value: '160', reason: 'The last digit was half turned.' }).expect(201);
  expect((await linesOf(made.id))[0]).toEqual(['coin', '35.00', '37.50', 1]);
});

test('a file brings readings by their labels', async () => {
  const bar = await meteredBar();
  const upload = async (lines: readonly string[]) => {
    const { body } = await office.post('/v1/imports?fileName=counts.csv').set('Content-Type', 'text/csv').send(`site,collected_on,machine,coin,note,metered,readings\n${lines.join('\n')}\n`).expect(201);
    return body as { id: string; state: string; errorCounts: object };
  };
  const row = (rest: string) => `${String(bar.site['code'])},2026-05-07,${String(bar.machine['tag'])},${rest}`;
  const errorsIn = async (...lines: string[]) => Object.keys((await upload(lines)).errorCounts).sort();
  expect(await errorsIn(row('20.00,50.00,,Coins=2OO'))).toEqual(['not-readings']);
  expect(await errorsIn(row('20.00,50.00,70.00,Coins=100000|Dimes=5'))).toEqual(['meters-recorded', 'more-digits-than-meter', 'unknown-meter']);
  const file = await upload([row('20.00,50.00,,Coins=00200|Notes=60')]);
  expect(file).toMatchObject({ state: 'staged' });
  await office.post(`/v1/imports/${file.id}/accept`).expect(200);
  const { body: list } = await office.get(`/v1/collections?siteId=${bar.site.id}`).expect(200);
  expect(await linesOf((list.items as { id: string }[])[0]?.id ?? '')).toEqual([['coin', '25.00', '20.00', 1], ['note', '50.00', '50.00', 1]]);
});

test('an outage of most of the time and a break-in leave an interval out of the charts, and a break-in taken back gives it again', async () => {
  const bar = await meteredBar();
  await bar.counted(5, ['25.00', '0.00'], { coins: '200', notes: '10' });
  await bar.counted(15, ['25.00', '0.00'], { coins: '300', notes: '10' });
  const leftOut = async (): Promise<(string | null)[]> => {
    const { points } = (await reviewer.get(`/v1/machines/${bar.machine.id}/variances?tender=coin`).expect(200)).body as VarianceChart;
    return points.map((point) => point.leftOutFor);
  };
  expect(await leftOut()).toEqual([null, null]);
  // Known only after both counts were accepted, and first only by who had counted: that explains nothing until somebody else confirms it.
  await collector.post('/v1/outages', { machineId: bar.machine.id, startedAt: at(6), endedAt: at(12), cause: 'Coin jam', remedy: 'Cleared it.' }).expect(201);
  expect(await leftOut()).toEqual([null, null]);
  const { body: outages } = await office.get(`/v1/outages?machineId=${bar.machine.id}`).expect(200);
  expect(outages.items).toMatchObject([{ machineTag: bar.machine['tag'], toConfirm: true, confirmed: null }]);
  const wrong = (outages.items as { id: string }[])[0]?.id ?? '';
  await collector.post(`/v1/outages/${wrong}/confirmation`).expect(403);
  const { body: confirmed } = await reviewer.post(`/v1/outages/${wrong}/confirmation`).expect(200);
  expect(confirmed).toMatchObject({ toConfirm: false, confirmed: { confirmedBy: `user:${reviewer.id}`, withoutSecondPerson: false } });
  expect((await office.post(`/v1/outages/${wrong}/confirmation`).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect(await leftOut()).toEqual([null, 'outage']);
  await collector.post(`/v1/outages/${wrong}/taking-back`, { reason: 'It was next door.' }).expect(403);
  expect((await office.post(`/v1/outages/${wrong}/taking-back`, { reason: 'It was next door.' }).expect(200)).body).toMatchObject({ cause: 'Coin jam', takenBack: { reason: 'It was next door.' } });
  expect((await office.post(`/v1/outages/${wrong}/taking-back`, { reason: 'Again.' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect(await leftOut()).toEqual([null, null]);
  // Of the whole time between the counts, at both of which it was read: its meters went from 200 to 300.
  const moved = (await office.post('/v1/outages', { machineId: bar.machine.id, startedAt: at(5), endedAt: at(15), cause: 'Coin jam', remedy: 'Cleared it.' }).expect(201)).body as { id: string };
  expect(await leftOut()).toEqual([null, null]);
  expect((await office.post(`/v1/outages/${moved.id}/confirmation`).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await office.post(`/v1/outages/${moved.id}/taking-back`, { reason: 'It earned in that time.' }).expect(200);
  expect((await reviewer.post(`/v1/outages/${moved.id}/confirmation`).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  // Somebody who had no hand in the counts needs nobody else.
  const open = (await office.post('/v1/outages', { machineId: bar.machine.id, startedAt: at(6), cause: 'Coin jam' }).expect(201)).body as { id: string };
  expect(await leftOut()).toEqual([null, 'outage']);
  // When it ended is the word of who had counted, and nobody confirmed that.
  await reviewer.post(`/v1/outages/${open.id}/confirmation`).expect(200);
  const { body: ended } = await collector.post(`/v1/outages/${open.id}/end`, { endedAt: at(12), remedy: 'Cleared it.' }).expect(200);
  expect(ended).toMatchObject({ confirmed: null, toConfirm: true, endedBy: `user:${collector.id}`, recordedBy: `user:${office.id}` });
  expect(await leftOut()).toEqual([null, null]);
  expect((await office.post(`/v1/outages/${open.id}/confirmation`).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await reviewer.post(`/v1/outages/${open.id}/confirmation`).expect(200);
  expect(await leftOut()).toEqual([null, 'outage']);
  const broken = (await office.post('/v1/break-ins', { machineTag: bar.machine['tag'], happenedOn: '2026-05-03', amount: usd('10.00'), note: 'Lock drilled.' }).expect(201)).body as { id: string };
  expect(await leftOut()).toEqual(['break-in', 'outage']);
  await owner.post(`/v1/break-ins/${broken.id}/corrections`, { amount: usd('0.00'), reason: 'It was the machine next door.' }).expect(201);
  expect(await leftOut()).toEqual([null, 'outage']);
  // Readings that come late change no figure, and show that it earned in that time.
  for (const [day, value] of [[7, '210'], [11, '290']] as const) {
    const readings = [{ meterId: bar.coins, value }, { meterId: bar.notes, value: '10' }];
    await collector.post(`/v1/machines/${bar.machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(day), readings }).expect(201);
  }
  expect(await leftOut()).toEqual([null, null]);
});

test('plays tell that a machine worked where its board counts no cash, but for those of a test', async () => {
  const bar = await makeRunningSite(office);
  const meters = [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '0' }), meterFields({ label: 'Tests', tender: 'test-plays', unitValue: usd('0.50'), value: '0' })];
  const { meterIds: [plays = '', tests = ''] } = await fitBoard(office, bar.machine.id, { fittedAt: '2026-05-01T12:00:00-05:00', meters });
  for (const [day, coin, played] of [[5, '25.00', '50'], [15, '1.00', '52'], [25, '0.00', '56']] as const) {
    const readings = [{ meterId: plays, value: played }, { meterId: tests, value: day === 25 ? '4' : '0' }];
    const made = await makeCollection(collector, bar.site, [count(bar.machine, coin, '0.00', { readings })], { happenedAt: at(day) });
    await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  }
  const report = async (from: number, to: number, more: object = {}) =>
    (await office.post('/v1/outages', { machineId: bar.machine.id, startedAt: at(from), endedAt: at(to), cause: 'Coin jam', remedy: 'Cleared it.', ...more }).expect(201)).body as { id: string; toConfirm: boolean };
  const leftOut = async () => ((await reviewer.get(`/v1/machines/${bar.machine.id}/variances?tender=cash`).expect(200)).body as VarianceChart).points.map((point) => point.leftOutFor);
  await report(5, 15);
  const { id } = await report(15, 25);
  expect(await leftOut()).toEqual([null, null, 'outage']);
  // The same told by who had counted explains nothing, whoever writes it down.
  await office.post(`/v1/outages/${id}/taking-back`, { reason: 'Written down for somebody else.' }).expect(200);
  const { id: personId } = await makePerson(office);
  await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId });
  expect(await report(15, 25, { reportedBy: personId })).toMatchObject({ toConfirm: true });
  expect(await leftOut()).toEqual([null, null, null]);
});

test('an outage that one person confirmed alone and a second one confirms after its end is confirmed by two', async () => {
  const own = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  try {
    const alone = own.operator.as('owner');
    const { id: machineId } = await makeMachine(alone);
    const { id } = (await alone.post('/v1/outages', { machineId, startedAt: at(6), cause: 'Coin jam' }).expect(201)).body as { id: string };
    // As it is recorded in a business of one, by who had reported it.
    await asTenant(own.db, own.operator.tenantId, async (tx) => {
      await tx.sql('UPDATE outage SET confirmed_at = now(), confirmed_by = $2 WHERE tenant_id = $3 AND id = $1', [id, `user:${alone.id}`, tx.tenantId]);
      await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'outage', now: new Date() });
    });
    const confirmation = async () => ((await alone.get(`/v1/outages?machineId=${machineId}`).expect(200)).body as { items: { confirmed: unknown }[] }).items[0]?.confirmed;
    expect(await confirmation()).toMatchObject({ withoutSecondPerson: true });
    await alone.post(`/v1/outages/${id}/end`, { endedAt: at(12), remedy: 'Cleared it.' }).expect(200);
    expect(await confirmation()).toBeNull();
    await own.operator.as('reviewer').post(`/v1/outages/${id}/confirmation`).expect(200);
    expect(await confirmation()).toMatchObject({ withoutSecondPerson: false });
  } finally {
    await own.close();
  }
});
