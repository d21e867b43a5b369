import type { Collection } from '#contracts/collection';
import type { MonthEndAgreement } from '#contracts/month-end';
import type { LateChange } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { inMay as at, twoMeteredSites } from '#tests/support/metered-move';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, goByMeters, makeRunningSite, type Made } from '#tests/support/set-up';

// Terms go by the meters, and these cannot tell what a box held: somebody who did not count says it, and the money goes on.
const [MAY, JUNE, JULY] = ['2026-05-01', '2026-06-01', '2026-07-01'] as const;

let api: TestApi;
let office: TestClient;
let owner: TestClient;
let collector: TestClient;
const freshApi = apiForAllTests({ now: '2026-08-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  [office, owner, collector] = (['bookkeeper', 'owner', 'collector'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient];
});

const reason = 'By what the machine printed.';
const say = (client: TestClient, id: string, { machine, amount }: { readonly machine: Made; readonly amount: string }) =>
  client.post(`/v1/collections/${id}/metered-amounts`, { amounts: [{ machineTag: machine['tag'], amount: usd(amount), reason }] });
const read = async (client: TestClient, id: string) => (await client.get(`/v1/collections/${id}`).expect(200)).body as Collection;
const takings = async (siteId: string, startsOn: string = MAY) => (await settlementOf(api, { siteId, startsOn })).totals.takings;
const preview = (agreement: Made) => office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: MAY });
const lateChanges = async () => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items.map(({ startsOn, cause }) => `${startsOn} ${cause}`);
/** Issues what a close settled, with every flag explained by somebody who had no part in it: a count that is compared with nothing is flagged. */
async function issueClose(id: string): Promise<void> {
  const reviewer = api.operator.as('reviewer');
  const { items } = (await office.get('/v1/variance-flags').expect(200)).body as { items: { id: string; state: string }[] };
  for (const flag of items.filter(({ state }) => state === 'open')) await reviewer.post(`/v1/variance-flags/${flag.id}/explanation`, { cause: 'meter-error', evidence: 'Nobody read the meters.' }).expect(200);
  await issueMonth(api, id);
}
const issue = async (startsOn: string) => issueClose((await closeMonth(api, startsOn)).id);

/** A site that goes by the meters, with a meter of quarters that showed 0 on 1 May. */
async function meteredSite() {
  const running = await makeRunningSite(office);
  await goByMeters(office, running);
  const { site, machine } = running;
  const { boardId, meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  const counted = async (happenedAt: string, coin: string, value: string | null, more: object = {}) =>
    (await makeAcceptedCollection(office, site, [count(machine, coin, '0.00', { readings: value === null ? [] : [{ meterId, value }], ...more })], { happenedAt })).id;
  const price = (happenedAt: string, more: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt, ...more }).expect(201);
  const changePrice = (happenedAt: string) => price(happenedAt, { newUnitValues: [{ meterId, unitValue: usd('0.50') }] });
  return { ...running, boardId, meterId, counted, price, changePrice };
}

test('a change of price that nobody read holds up a settlement until somebody who did not count says the amount, with a reason; the reading takes its place when it comes', async () => {
  const { site, machine, agreement, meterId, counted, price, changePrice } = await meteredSite();
  await counted(at(5), '25.00', '100');
  await changePrice(at(10));
  const visit = await counted(at(20), '90.00', '300');
  const close = await closeMonth(api, MAY);
  const box = { collectionId: visit, siteCode: site['code'], localDate: '2026-05-20', machineTag: machine['tag'], why: ['price-unread'], missing: [{ occasion: 'price-change', siteCode: null, day: '2026-05-10', at: '2026-05-10T17:00:00.000Z', meters: ['Coins'] }] };
  expect(close.failures).toMatchObject([{ code: 'cannot-be-computed', untoldBoxes: [box] }]);
  expect(close.failures[0]?.message).toContain(`those of ${String(machine['tag'])} at ${String(site['code'])} on 20 May 2026 cannot tell what they imply (not read as a price changed on 10 May 2026)`);
  const refusal = (await preview(agreement).expect(409)).body as { errors: { code: string; values?: object }[] };
  expect(refusal.errors).toMatchObject([{ code: 'cannot-be-computed' }, { code: 'box-untold', values: { machine: machine['tag'], site: site['code'], day: '2026-05-20', collectionId: visit, machineId: machine.id } }]);
  const row = async () => ((await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MAY}`).expect(200)).body as { items: MonthEndAgreement[] }).items[0];
  expect((await row())?.failure?.untoldBoxes).toMatchObject([box]);
  expect((await read(owner, visit)).meteredAsked).toMatchObject([{ ...box, since: { readings: [{ meterLabel: 'Coins', value: '00100', at: '2026-05-05T17:00:00.000Z', day: '2026-05-05' }], placedOn: null, boxes: [], laterMeters: [] } }]);

  expect((await say(office, visit, { machine, amount: '80.00' }).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect(errorsOf(await owner.post(`/v1/collections/${visit}/metered-amounts`, { amounts: [{ machineTag: machine['tag'], amount: usd('80.00') }] }).expect(422))).toEqual(['#/amounts/0/reason missing']);
  await say(owner, visit, { machine, amount: '80.00' }).expect(200);
  expect(errorsOf(await say(owner, visit, { machine, amount: '80.00' }).expect(422))).toEqual(['#/amounts/0/machineTag said-already']);
  expect(await read(owner, visit)).toMatchObject({ meteredMissing: [], meteredAsked: [], meteredAmounts: [{ amount: usd('80.00'), reason }] });
  // What was said since is no failure to mend any more: the site is settled again.
  expect((await row())?.failure?.untoldBoxes).toEqual([]);
  expect((await settleMissing(api, close.id)).failures).toEqual([]);
  expect(await takings(site.id)).toEqual(usd('105.00'));
  // 100 coins at 0.25 and 100 at 0.50 are what they were.
  await price(at(10), { readings: [{ meterId, value: '200' }] });
  expect((await preview(agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('100.00') } });
  expect(errorsOf(await owner.post(`/v1/collections/${visit}/corrections`, { countId: (await read(owner, visit)).counts[0]?.id, coin: usd('89.00'), note: usd('0.00'), meteredAmount: usd('1.00'), reason }).expect(422))).toEqual(['#/meteredAmount meters-recorded']);
});

test('of a box that two boards counted the readings of both are named from which the amount counts', async () => {
  const { machine, boardId, meterId, counted } = await meteredSite();
  await counted(at(5), '25.00', '100');
  await office.post(`/v1/counter-boards/${boardId}/removal`, { removedAt: at(8), readings: [{ meterId, value: '150' }] }).expect(200);
  const { meterId: next } = await fitBoard(office, machine.id, { label: 'Second board', fittedAt: at(8, 13), meters: [meterFields({ value: '0' })] });
  const price = async (happenedAt: string, unitValue: string) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt, newUnitValues: [{ meterId: next, unitValue: usd(unitValue) }] }).expect(201);
  await price(at(10), '0.50');
  const visit = await counted(at(20), '90.00', null, { readings: [{ meterId: next, value: '300' }] });
  const { meteredAsked } = await read(owner, visit);
  expect(meteredAsked).toMatchObject([{ why: ['price-unread'], missing: [{ occasion: 'price-change', day: '2026-05-10', meters: ['Coins'] }], since: { boxes: [], laterMeters: [] } }]);
  expect(meteredAsked[0]?.since?.readings.map(({ boardOut, value, day }) => [boardOut, value, day])).toEqual([['Main board', '00100', '2026-05-05'], [null, '00000', '2026-05-08']]);
  // At the next box the old board is history.
  await price(at(22), '0.75');
  const later = await counted(at(27), '30.00', null, { readings: [{ meterId: next, value: '400' }] });
  expect((await read(owner, later)).meteredAsked[0]?.since?.readings.map(({ boardOut, value }) => [boardOut, value])).toEqual([[null, '00300']]);
});

test('a change of price that nobody read is asked for where it stands after it was moved, and no more once it was taken back', async () => {
  const { machine, counted, changePrice } = await meteredSite();
  await counted(at(5), '25.00', '100');
  await changePrice(at(10));
  const visit = await counted(at(20), '90.00', '300');
  // By turns: nobody corrects what is their own entry.
  const correct = (client: TestClient, body: object) => client.post(`/v1/machines/${machine.id}/meter-prices/corrections`, { reason: 'Mistyped', ...body }).expect(201);
  const asked = async () => (await read(owner, visit)).meteredAsked.flatMap(({ missing }) => missing.map(({ at: moment }) => moment));
  expect(await asked()).toEqual(['2026-05-10T17:00:00.000Z']);
  await correct(owner, { changedAt: at(10), at: at(12) });
  expect(await asked()).toEqual(['2026-05-12T17:00:00.000Z']);
  // Before the box of the 5th it is no matter of this one.
  await correct(office, { changedAt: at(12), at: at(3) });
  expect(await asked()).toEqual([]);
  await correct(owner, { changedAt: at(3), at: at(12) });
  expect(await asked()).toEqual(['2026-05-12T17:00:00.000Z']);
  await correct(office, { changedAt: at(12), withdrawn: true });
  expect(await asked()).toEqual([]);
});

test('an amount that was said wrong is corrected with the count by somebody else, and a count is corrected without saying the amount', async () => {
  const { machine, agreement, counted, changePrice } = await meteredSite();
  await changePrice(at(10));
  const visit = await counted(at(20), '90.00', '300');
  const standing = async () => (await read(owner, visit)).counts.find(({ replacedById }) => replacedById === null)?.id;
  const correct = async (client: TestClient, coin: string, more: object = {}) => client.post(`/v1/collections/${visit}/corrections`, { countId: await standing(), coin: usd(coin), note: usd('0.00'), reason, ...more });
  expect((await correct(owner, '91.00')).status).toBe(200);
  expect((await preview(agreement).expect(409)).body).toMatchObject({ code: 'cannot-be-settled' });
  await say(owner, visit, { machine, amount: '800.00' }).expect(200);
  expect((await correct(owner, '91.00', { meteredAmount: usd('80.00') })).body).toMatchObject({ code: 'second-person-needed' });
  expect((await correct(office, '91.00', { meteredAmount: usd('80.00') })).status).toBe(200);
  expect((await preview(agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('80.00') } });
});

test('the first box at a site is not held up for ever where nobody read the machine as it moved: each site is paid what somebody says of its own box', async () => {
  const { from, to, machine, counted, move } = await twoMeteredSites({ office, collector });
  await counted(from.site, 8, '100.00', '400');
  await move();
  const removal = await makeCollection(office, from.site, [count(machine, '12.00', '0.00', { removal: true })], { happenedAt: at(12, 10) });
  expect((await read(owner, removal.id)).meteredAsked).toMatchObject([{ why: ['left-unread'], missing: [{ occasion: 'removal', siteCode: from.site['code'], day: '2026-05-12', meters: ['Coins'] }], since: { readings: [{ value: '00400', day: '2026-05-08' }], placedOn: null } }]);
  await say(owner, removal.id, { machine, amount: '12.50' }).expect(200);
  await office.post(`/v1/collections/${removal.id}/accept`).expect(200);
  const first = await counted(to.site, 20, '24.00', '550');
  const second = await counted(to.site, 27, '25.00', '650');
  const close = await closeMonth(api, MAY);
  const missing = [{ occasion: 'placement', siteCode: to.site['code'], day: '2026-05-12', at: null, meters: ['Coins'] }];
  expect(close.failures).toMatchObject([{ siteCode: to.site['code'], untoldBoxes: [{ collectionId: first, why: ['moved-unread'], missing }] }]);
  expect(close.failures[0]?.message).toContain(`not read as it came to ${String(to.site['code'])} on 12 May 2026`);
  expect(await takings(from.site.id)).toEqual(usd('112.50'));
  // What it counted before it came is no part of the amount: the reading that is named is of the site before.
  expect((await read(owner, first)).meteredAsked).toMatchObject([{ missing, since: { readings: [{ value: '00400', day: '2026-05-08' }], placedOn: '2026-05-12', boxes: [] } }]);
  expect((await read(owner, second)).meteredAsked).toEqual([]);
  await say(owner, first, { machine, amount: '25.00' }).expect(200);
  expect((await settleMissing(api, close.id)).failures).toEqual([]);
  // 100 quarters follow that were read.
  expect(await takings(to.site.id)).toEqual(usd('50.00'));
});

test('what is said of the last box covers the unread ones before it: they are named with the last reading, and their money comes once', async () => {
  const { site, machine, placement, agreement, meterId, counted } = await meteredSite();
  await counted(at(5), '25.00', '100');
  await counted(at(10), '30.00', null, { unread: [{ meterId, why: 'display-dark' }] });
  const second = await counted(at(15), '30.00', null, { unread: [{ meterId, why: 'display-dark' }] });
  expect((await preview(agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('25.00') } });
  await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-05-20' }).expect(200);
  const last = await makeCollection(office, site, [count(machine, '15.00', '0.00', { removal: true, unread: [{ meterId, why: 'display-dark' }] })], { happenedAt: at(20) });
  const { meteredAsked: [asked] } = await read(owner, last.id);
  expect(asked).toMatchObject({ why: ['left-unread'], since: { readings: [{ meterLabel: 'Coins', value: '00100', day: '2026-05-05' }], placedOn: null, boxes: [{ localDate: '2026-05-10' }, { collectionId: second, localDate: '2026-05-15' }], laterMeters: [] } });
  // Who counted is shown neither the reading nor the boxes before.
  expect((await read(office, last.id)).meteredAsked).toMatchObject([{ why: ['left-unread'], since: null }]);
  await say(owner, last.id, { machine, amount: '75.00' }).expect(200);
  await office.post(`/v1/collections/${last.id}/accept`).expect(200);
  expect((await preview(agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('100.00') } });
});

test('a meter that was not read with a box whose price changed comes with its next reading, and is no part of what is said', async () => {
  const running = await makeRunningSite(office);
  await goByMeters(office, running);
  const { site, machine, agreement } = running;
  const { meterIds: [coins = '', notes = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '0' })] });
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(3), newUnitValues: [{ meterId: coins, unitValue: usd('0.50') }] }).expect(201);
  const { id } = await makeAcceptedCollection(office, site, [count(machine, '40.00', '20.00', { readings: [{ meterId: coins, value: '100' }], unread: [{ meterId: notes, why: 'display-dark' }] })], { happenedAt: at(10) });
  expect((await read(owner, id)).meteredAsked).toMatchObject([{ why: ['price-unread'], since: { readings: [{ meterLabel: 'Coins', value: '00000', day: '2026-05-01' }], laterMeters: ['Notes'] } }]);
  await say(owner, id, { machine, amount: '40.00' }).expect(200);
  await makeAcceptedCollection(office, site, [count(machine, '5.00', '0.00', { readings: [{ meterId: coins, value: '110' }, { meterId: notes, value: '20' }] })], { happenedAt: at(20) });
  // 40.00 as said, 10 coins at 0.50, and the 20 notes of both boxes.
  expect((await preview(agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('65.00') } });
});

test('of a box in a settled month the amount becomes a late change of the next settlement, once', async () => {
  const { site, machine, counted, changePrice } = await meteredSite();
  await counted(at(5), '25.00', '100');
  const visit = await counted(at(20), '50.00', '300');
  await issue(MAY);
  expect(await takings(site.id)).toEqual(usd('75.00'));
  // Known only now: the price rose amid what was settled, and nobody read the meter then.
  await changePrice(at(10));
  expect(await lateChanges()).toEqual([`${MAY} correction`]);
  const june = await closeMonth(api, JUNE);
  expect(june.failures).toMatchObject([{ code: 'cannot-be-computed', untoldBoxes: [{ collectionId: visit, why: ['price-unread'] }] }]);
  await say(owner, visit, { machine, amount: '80.00' }).expect(200);
  await settleMissing(api, june.id);
  await issueClose(june.id);
  // 40 percent of the 30.00 that May gained.
  expect((await settlementOf(api, { siteId: site.id, startsOn: JUNE })).totals).toMatchObject({ takings: usd('0.00'), earlier: usd('12.00'), payable: usd('12.00') });
  expect(await lateChanges()).toEqual([]);
  await issue(JULY);
  await expect(settlementOf(api, { siteId: site.id, startsOn: JULY })).rejects.toThrow();
});

test('a last box that is counted late, its month settled, is paid with the next settlement by what somebody says of it, once', async () => {
  const { site, machine, placement, meterId, counted } = await meteredSite();
  await counted(at(5), '25.00', '100');
  await issue(MAY);
  // Entered only in June: the machine had left in May, and its box was counted then.
  await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-05-20' }).expect(200);
  const last = await makeCollection(office, site, [count(machine, '15.00', '0.00', { removal: true, unread: [{ meterId, why: 'display-dark' }] })], { happenedAt: at(20) });
  await office.post(`/v1/collections/${last.id}/accept`).expect(409);
  await say(owner, last.id, { machine, amount: '15.50' }).expect(200);
  await office.post(`/v1/collections/${last.id}/accept`).expect(200);
  expect(await lateChanges()).toEqual([`${MAY} collection`]);
  await issue(JUNE);
  expect((await settlementOf(api, { siteId: site.id, startsOn: JUNE })).totals).toMatchObject({ takings: usd('0.00'), earlier: usd('6.20'), payable: usd('6.20') });
  expect(await lateChanges()).toEqual([]);
  await issue(JULY);
  await expect(settlementOf(api, { siteId: site.id, startsOn: JULY })).rejects.toThrow();
});

test('a machine that paid back more than it took takes that off what the site took, without anybody saying so', async () => {
  const running = await makeRunningSite(office);
  await goByMeters(office, running);
  const { meterIds } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Paid back', tender: 'refunds', value: '0' })] });
  const counted = (happenedAt: string, coin: string, values: readonly string[]) =>
    makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00', { readings: values.map((value, index) => ({ meterId: meterIds[index], value })) })], { happenedAt });
  // 40 quarters in and 48 paid back, out of what lay in the box before.
  const visit = await counted(at(5), '0.00', ['40', '48']);
  expect((await preview(running.agreement).expect(200)).body).toMatchObject({ totals: { takings: usd('-2.00') } });
  expect(errorsOf(await say(owner, visit.id, { machine: running.machine, amount: '0.00' }).expect(422))).toEqual(['#/amounts/0/machineTag meters-recorded']);
  await counted(at(12), '30.00', ['160', '48']);
  await issue(MAY);
  expect(await takings(running.site.id)).toEqual(usd('28.00'));
});
