import type { CollectionVariances, VarianceChart, VarianceFlag, VarianceFlagDetail, VarianceMonth } from '#contracts/variance';
import type { VarianceReport } from '#contracts/variance-report';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, usd, type Collected } from '#tests/support/collecting';
import { untilWaiting } from '#tests/support/database';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makePerson, makeRunningSite } from '#tests/support/set-up';

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

/** A machine with a meter of quarters and one of test plays, both at 0 on the first of May. */
async function bar() {
  const running = await makeRunningSite(office);
  const { meterIds } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Tests', tender: 'test-plays', value: '0' })] });
  const [coins, tests] = meterIds;
  const waiting = (day: number, coin: string, read: { readonly coins?: string; readonly tests?: string }, { by = collector, ...more }: { readonly by?: TestClient; readonly collectedBy?: string } = {}) => {
    const readings = [{ meterId: coins, value: read.coins }, { meterId: tests, value: read.tests }].filter(({ value }) => value !== undefined);
    return makeCollection(by, running.site, [count(running.machine, coin, '0.00', { readings })], { happenedAt: at(day), ...more });
  };
  const counted = async (...of: Parameters<typeof waiting>): Promise<Collected> => {
    const made = await waiting(...of);
    await accept(made);
    return made;
  };
  return { ...running, waiting, counted };
}

const accept = (made: Collected) => office.post(`/v1/collections/${made.id}/accept`).expect(200);

type Bar = Awaited<ReturnType<typeof bar>>;
const chartOf = async ({ machine }: Bar) => ((await reviewer.get(`/v1/machines/${machine.id}/variances`).expect(200)).body as VarianceChart).points;
const leftOut = async (running: Bar) => (await chartOf(running)).map((point) => point.leftOutFor);
const flagsOf = async ({ site }: Bar, more = '') => ((await reviewer.get(`/v1/variance-flags?siteId=${site.id}${more}`).expect(200)).body as { items: VarianceFlag[] }).items;

async function linesOf(collectionId: string) {
  const { items } = (await office.get(`/v1/collections/${collectionId}/variances`).expect(200)).body as CollectionVariances;
  return items.map(({ tender, expected, counted, variance, counts, unknown, since }) => [tender, expected?.amount ?? null, counted.amount, variance?.amount ?? null, counts, since?.slice(0, 10) ?? null, ...unknown]);
}

test('where one meter of the coins was missed, all that its coins counted since is held against all that was counted since', async () => {
  const { counted } = await bar();
  const whole = await counted(5, '25.00', { coins: '100', tests: '0' });
  expect(await linesOf(whole.id)).toEqual([['coin', '25.00', '25.00', '0.00', 1, '2026-05-01']]);
  const missed = await counted(9, '100.00', { coins: '500' });
  expect(await linesOf(missed.id)).toEqual([['coin', null, '100.00', null, 1, '2026-05-05', 'not-read']]);
  const later = await counted(13, '99.00', { coins: '900', tests: '4' });
  expect(await linesOf(later.id)).toEqual([['coin', '199.00', '199.00', '0.00', 2, '2026-05-05']]);
  const next = await counted(17, '25.00', { coins: '1000', tests: '4' });
  expect(await linesOf(next.id)).toEqual([['coin', '25.00', '25.00', '0.00', 1, '2026-05-13']]);
});

test('meters that are missed by turns make one comparison, back to the last visit at which all were read', async () => {
  const { counted } = await bar();
  await counted(5, '25.00', { coins: '100', tests: '0' });
  await counted(9, '10.00', { coins: '140' });
  await counted(13, '10.00', { tests: '4' });
  const later = await counted(17, '14.00', { coins: '240', tests: '4' });
  expect(await linesOf(later.id)).toEqual([['coin', '34.00', '34.00', '0.00', 3, '2026-05-05']]);
});

test('a break-in anywhere in the time of a comparison explains it, and the month leaves out what the report does', async () => {
  const running = await bar();
  await running.counted(5, '25.00', { coins: '100', tests: '0' });
  await office.post('/v1/break-ins', { placementId: running.placement.id, happenedOn: '2026-05-07', amount: usd('90.00'), note: 'The box was forced.' }).expect(201);
  await running.counted(9, '10.00', { coins: '500' });
  await running.counted(13, '99.00', { coins: '900', tests: '4' });
  await running.counted(17, '20.00', { coins: '1000', tests: '4' });
  expect(await leftOut(running)).toEqual([null, 'break-in', 'break-in', null]);
  const { totals } = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${running.site.id}`).expect(200)).body as VarianceMonth;
  const sums = { expected: usd('50.00'), counted: usd('45.00'), shortages: usd('-5.00'), overages: usd('0.00') };
  expect(totals).toEqual([{ currency: 'USD', tender: 'coin', counts: 2, unknown: 1, leftOut: 1, outOfTolerance: 0, ...sums }]);
  const { rows } = (await owner.get(`/v1/variances/report?by=month&from=2026-05-01&to=2026-05-31&siteId=${running.site.id}`).expect(200)).body as VarianceReport;
  expect(rows).toMatchObject([{ counts: 2, leftOut: 2, outOfTolerance: 0, ...sums }]);
});

test('a break-in before the visit from which a comparison counts is of the box before; on its day nothing says which of both it is of', async () => {
  for (const [happenedOn, explained] of [['2026-05-04', ['break-in', null, null]], ['2026-05-05', ['break-in', 'break-in', 'break-in']]] as const) {
    const running = await bar();
    await office.post('/v1/break-ins', { placementId: running.placement.id, happenedOn, amount: usd('90.00'), note: 'The box was forced.' }).expect(201);
    await running.counted(5, '25.00', { coins: '100', tests: '0' });
    await running.counted(9, '10.00', { coins: '500' });
    await running.counted(13, '99.00', { coins: '900', tests: '4' });
    expect(await leftOut(running)).toEqual(explained);
  }
});

test('an outage of most of the time of a comparison explains it, and is confirmed by somebody with a hand in none of its counts', async () => {
  const running = await bar();
  await running.counted(5, '25.00', { coins: '100', tests: '0' });
  await running.counted(13, '10.00', { coins: '140' }, { by: office });
  await running.counted(15, '10.00', { coins: '180', tests: '0' });
  expect(await leftOut(running)).toEqual([null, null, null]);
  // Seven of ten days, before the count in between, which the bookkeeper entered.
  const { id } = (await office.post('/v1/outages', { machineId: running.machine.id, startedAt: at(5), endedAt: at(12), cause: 'Coin jam', remedy: 'Cleared it.' }).expect(201)).body as { id: string };
  expect(await leftOut(running)).toEqual([null, null, null]);
  expect((await reviewer.post(`/v1/outages/${id}/confirmation`).expect(200)).body).toMatchObject({ toConfirm: false });
  expect(await leftOut(running)).toEqual([null, 'outage', 'outage']);
  // Of the last count alone whose word it is has a hand in it: it waits for a confirmation there, too.
  const other = await bar();
  await other.counted(5, '25.00', { coins: '100', tests: '0' }, { by: office });
  await other.counted(13, '10.00', { coins: '140' }, { by: office });
  await other.counted(15, '10.00', { coins: '180', tests: '0' });
  await collector.post('/v1/outages', { machineId: other.machine.id, startedAt: at(5), endedAt: at(12), cause: 'Coin jam', remedy: 'Cleared it.' }).expect(201);
  expect(await leftOut(other)).toEqual([null, 'outage', null]);
  const { body } = await office.get(`/v1/outages?machineId=${other.machine.id}`).expect(200);
  expect(body.items).toMatchObject([{ toConfirm: true }]);
});

test('a flag over several visits is explained by nobody who made one of them, and the report names none of them', async () => {
  const running = await bar();
  const [orla, paul] = [await makePerson(owner), await makePerson(owner)];
  const alone = await running.counted(5, '25.00', { coins: '100', tests: '0' }, { collectedBy: orla.id });
  await running.counted(9, '100.00', { coins: '500' }, { collectedBy: orla.id, by: office });
  const later = await running.counted(13, '49.00', { coins: '900', tests: '4' }, { collectedBy: paul.id });
  expect(await linesOf(later.id)).toEqual([['coin', '199.00', '149.00', '-50.00', 2, '2026-05-05']]);
  const [flag] = await flagsOf(running);
  expect(flag).toMatchObject({ collectionId: later.id, reasons: ['tolerance'] });
  for (const person of [orla, paul]) expect(await flagsOf(running, `&collectorId=${person.id}`)).toEqual([flag]);

  const reportBy = async (more: string) => ((await owner.get(`/v1/variances/report?from=2026-05-01&to=2026-05-31&siteId=${running.site.id}${more}`).expect(200)).body as VarianceReport).rows;
  const none = { shortages: usd('0.00'), openFlags: 0, several: false };
  // Of the visit in the middle alone nothing is known.
  expect(await reportBy('&by=collector')).toMatchObject([
    { id: null, code: '', name: '', several: true, counts: 1, shortages: usd('-50.00'), openFlags: 1 },
    { id: orla.id, counts: 1, leftOut: 1, ...none },
  ]);
  expect(await reportBy(`&by=month&collectorId=${paul.id}`)).toEqual([]);
  expect(await reportBy(`&by=month&collectorId=${orla.id}`)).toMatchObject([{ counts: 1, ...none }]);
  const file = await owner.get(`/v1/variances/report/export?by=collector&from=2026-05-01&to=2026-05-31&siteId=${running.site.id}`).expect(200);
  expect(file.text.split('\r\n')[1]).toBe('collector,,,USD,1,1,0,199.00,149.00,-50.00,0.00,1,0,0,all,yes');

  const explain = (client: TestClient) => client.post(`/v1/variance-flags/${flag?.id ?? ''}/explanation`, { cause: 'not-found', evidence: 'Nobody knows.' });
  expect((await explain(office).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await bindToPerson(owner, { accountId: reviewer.id, role: 'reviewer', personId: orla.id });
  expect((await explain(reviewer).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await explain(owner).expect(200);
  expect(await linesOf(alone.id)).toEqual([['coin', '25.00', '25.00', '0.00', 1, '2026-05-01']]);
});

test('each tender is heard, reported on and named over its own time', async () => {
  const running = await makeRunningSite(office);
  const { meterIds } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '0' }), meterFields({ label: 'Tests', tender: 'test-plays', value: '0' })] });
  const [orla, paul] = [await makePerson(owner), await makePerson(owner)];
  const { secret } = (await office.post('/v1/machine-tokens', { machineId: running.machine.id }).expect(201)).body as { secret: string };
  const report = (body: object) => api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: running.machine['tag'], ...body }).expect(200);
  const visits = [[5, '25.00', '10.00', ['100', '10', '0'], orla], [9, '100.00', '30.00', ['500', '40'], orla], [13, '49.00', '10.00', ['900', '70', '4'], paul]] as const;
  for (const [day, coin, note, values, person] of visits) {
    const readings = values.map((value, index) => ({ meterId: meterIds[index], value }));
    await accept(await makeCollection(collector, running.site, [count(running.machine, coin, note, { readings })], { happenedAt: at(day), collectedBy: person.id }));
  }
  for (const [readAt, ...values] of [['2026-05-05T16:30:00Z', '100', '10', '0'], ['2026-05-09T16:30:00Z', '500', '40', '2'], ['2026-05-13T16:30:00Z', '900', '70', '4']] as const) {
    await report({ readings: ['Coins', 'Notes', 'Tests'].map((meter, index) => ({ meter, value: values[index], readAt })) });
  }
  await report({ events: [{ kind: 'door-opened', happenedAt: '2026-05-07T02:13:00Z' }, { kind: 'door-closed', happenedAt: '2026-05-07T02:16:00Z' }] });

  const { items } = (await office.get(`/v1/variance-flags?siteId=${running.site.id}`).expect(200)).body as { items: VarianceFlag[] };
  expect(items[0]?.figures).toMatchObject([{ tender: 'coin', expected: usd('199.00'), counted: usd('149.00') }, { tender: 'note', expected: usd('30.00'), counted: usd('10.00') }]);
  const detail = (await owner.get(`/v1/variance-flags/${items[0]?.id ?? ''}`).expect(200)).body as VarianceFlagDetail;
  expect(detail.machineSays).toEqual([
    { from: '2026-05-05T16:30:00.000Z', to: '2026-05-13T16:30:00.000Z', amounts: [{ tender: 'coin', amount: usd('199.00') }] },
    { from: '2026-05-09T16:30:00.000Z', to: '2026-05-13T16:30:00.000Z', amounts: [{ tender: 'note', amount: usd('30.00') }] },
  ]);
  expect(detail.machineEvents).toEqual([{ kind: 'door', fault: null, startedAt: '2026-05-07T02:13:00.000Z', endedAt: '2026-05-07T02:16:00.000Z' }]);

  const reportOf = async (more: string) => ((await owner.get(`/v1/variances/report?from=2026-05-01&to=2026-05-31&siteId=${running.site.id}${more}`).expect(200)).body as VarianceReport).rows;
  // The notes are of one visit each; a flag is of the whole box.
  expect(await reportOf('&by=collector&tender=note')).toMatchObject([{ id: paul.id, several: false, counts: 1, shortages: usd('-20.00'), openFlags: 0 }, { id: orla.id, counts: 2, shortages: usd('0.00') }]);
  expect(await reportOf('&by=collector&tender=coin')).toMatchObject([{ id: null, several: true, counts: 1, shortages: usd('-50.00'), openFlags: 1 }, { id: orla.id, counts: 1, leftOut: 1 }]);
  expect(await reportOf(`&by=month&collectorId=${paul.id}`)).toMatchObject([{ counts: 1, shortages: usd('-20.00') }]);
});

test('two counts that are compared together are so, accepted at the same moment as well', async () => {
  for (const first of [0, 1]) {
    const running = await bar();
    await running.counted(5, '25.00', { coins: '100', tests: '0' });
    const made = [await running.waiting(9, '100.00', { coins: '500' }), await running.waiting(13, '99.00', { coins: '900', tests: '4' })] as const;
    const order = first === 0 ? [made[0], made[1]] : [made[1], made[0]];
    // Both have compared their box, and neither has written it.
    const answers: PromiseLike<unknown>[] = [];
    await api.operator.inBooks(async (tx) => {
      await tx.sql('SELECT FROM variance_series WHERE machine_id = $1 FOR UPDATE', [running.machine.id]);
      for (const [index, collection] of order.entries()) {
        answers.push(accept(collection).then((answer) => answer));
        await untilWaiting(api.db, index + 1);
      }
    });
    await Promise.all(answers);
    expect(await linesOf(made[1].id)).toEqual([['coin', '199.00', '199.00', '0.00', 2, '2026-05-05']]);
  }
});
