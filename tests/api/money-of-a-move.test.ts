import type { Collection } from '#contracts/collection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { inMay as at, twoMeteredSites, variancesOf } from '#tests/support/metered-move';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, etag, goByMeters, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, collector, reviewer] = (['bookkeeper', 'collector', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient];
});
afterAll(() => api?.close());

const MAY = '2026-05-01';
const twoSites = () => twoMeteredSites({ office, collector });
const varianceOf = (id: string) => variancesOf(reviewer, id);
const settled = async (siteId: string) => (await settlementOf(api, { siteId, startsOn: MAY })).totals.takings;

/** By somebody else than who had counted. */
const reviewerCorrects = async ({ id, counts }: { readonly id: string; readonly counts: readonly { readonly id: string }[] }, coin: string) =>
  api.operator.as('owner').post(`/v1/collections/${id}/corrections`, { countId: counts[0]?.id, coin: usd(coin), note: usd('0.00'), reason: 'The rest is of the site before' }).expect(200);

test('a site paid by the meters waits for a machine that left it uncounted, and gets with that count what was played after the last visit', async () => {
  const { from, to, machine, counted, read, move } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await read('removal', at(12, 9), '450');
  await move();
  await counted(to.site, 20, '25.00', '550');
  await closeMonth(api, MAY);
  const draft = () => settlementOf(api, { siteId: from.site.id, startsOn: MAY });
  const review = async () => {
    const settlement = await draft();
    return office.post(`/v1/settlements/${settlement.id}/review`).set('If-Match', etag(settlement));
  };
  expect((await review()).body).toMatchObject({ status: 409, code: 'boxes-not-counted', detail: expect.stringContaining(`${machine['tag'] as string} on 12 May 2026. Enter the count of the removal`) });
  // In the workshop on a later day, and dated to when the box was emptied: it belongs to the site that the machine left.
  const removal = await makeAcceptedCollection(office, from.site, [count(machine, '12.50', '0.00', { removal: true })], { happenedAt: at(12, 10) });
  expect(await varianceOf(removal.id)).toEqual([['12.50', '12.50', '0.00']]);
  expect((removal as unknown as Collection).unreadMeters).toEqual([]);
  await office.post(`/v1/settlements/${(await draft()).id}/recompute`).expect(200);
  expect([await settled(from.site.id), await settled(to.site.id)]).toEqual([usd('112.50'), usd('25.00')]);
  expect((await review()).status).toBe(200);
});

test('cash that went on in the box shows as too much at the next site, and is put down to the first one by its count', async () => {
  const { from, to, machine, meterId, counted, read, move } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await read('removal', at(12, 9), '450');
  await move();
  const second = await makeAcceptedCollection(office, to.site, [count(machine, '37.50', '0.00', { readings: [{ meterId: meterId, value: '550' }] })], { happenedAt: at(20) });
  expect(await varianceOf(second.id)).toEqual([['25.00', '37.50', '12.50']]);
  await reviewerCorrects(second, '25.00');
  const removal = await makeAcceptedCollection(office, from.site, [count(machine, '12.50', '0.00', { removal: true })], { happenedAt: at(12, 10) });
  expect([await varianceOf(removal.id), await varianceOf(second.id)]).toEqual([[['12.50', '12.50', '0.00']], [['25.00', '25.00', '0.00']]]);
});

test('the last box of a machine that left with its meters unread is paid by what somebody who did not count says they imply, and by the meters once they tell', async () => {
  const { from, machine, meterId, counted, move, read } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await move();
  const last = await makeCollection(office, from.site, [count(machine, '50.00', '0.00', { removal: true, unread: [{ meterId, why: 'display-dark' }] })], { happenedAt: at(12, 10) });
  const refused = await office.post(`/v1/collections/${last.id}/accept`).expect(409);
  expect(refused.body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining(machine['tag'] as string) });
  expect((await office.get(`/v1/collections/${last.id}`).expect(200)).body).toMatchObject({ meteredMissing: [machine['tag']] });
  const say = (more: object) => api.operator.as('owner').post(`/v1/collections/${last.id}/metered-amounts`, { amounts: [{ machineTag: machine['tag'], amount: usd('47.50'), ...more }] });
  // The meters are recorded: who says in their place what they imply says how that is known.
  expect(errorsOf(await say({}).expect(422))).toEqual(['#/amounts/0/reason missing']);
  await say({ reason: 'By what the changer paid out.' }).expect(200);
  await office.post(`/v1/collections/${last.id}/accept`).expect(200);
  const preview = async () => ((await office.post('/v1/settlements/preview', { agreementId: from.agreement.id, startsOn: MAY }).expect(200)).body as { totals: { takings: object } }).totals.takings;
  expect(await preview()).toEqual(usd('147.50'));
  // The display went on again in the workshop.
  await read('removal', at(12, 9), '580');
  expect(await preview()).toEqual(usd('145.00'));
});

test('a file says what the meters imply of the last box of a machine that left with them unread, and of no other box whose meters are recorded', async () => {
  const { from, machine, counted, move } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await move();
  const upload = async (lines: readonly string[]) =>
    (await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(['site,collected_on,collected_at,machine,part,removal,coin,metered,readings', ...lines, ''].join('\n')).expect(201)).body as { id: string; state: string; errorCounts: object };
  const line = (fields: string, day = '2026-05-12') => `${String(from.site['code'])},${day},10:00,${String(machine['tag'])},${fields}`;
  expect(await upload([line('1,yes,50.00,,')])).toMatchObject({ errorCounts: { 'metered-amount-missing': 1 } });
  expect(await upload([line('1,yes,50.00,45.00,Coins=580')])).toMatchObject({ errorCounts: { 'meters-recorded': 1 } });
  expect(await upload([line('1,no,50.00,45.00,', '2026-05-10')])).toMatchObject({ errorCounts: { 'meters-recorded': 1 } });
  const staged = await upload([line('1,yes,40.00,47.50,'), line('2,yes,10.00,,')]);
  expect(staged).toMatchObject({ state: 'staged' });
  await office.post(`/v1/imports/${staged.id}/accept`).expect(200);
  const { totals } = (await office.post('/v1/settlements/preview', { agreementId: from.agreement.id, startsOn: MAY }).expect(200)).body as { totals: { takings: object } };
  expect(totals.takings).toEqual(usd('147.50'));
  // One part says it for the whole box: the other is corrected without it, and what is said again would be paid again.
  const { items } = (await office.get(`/v1/collections?siteId=${from.site.id}`).expect(200)).body as { items: { id: string; localDate: string }[] };
  const last = (await office.get(`/v1/collections/${items.find(({ localDate }) => localDate === '2026-05-12')?.id ?? ''}`).expect(200)).body as Collection;
  expect(last.meteredMissing).toEqual([]);
  const correct = (more: object) => api.operator.as('owner').post(`/v1/collections/${last.id}/corrections`, { countId: last.counts.find(({ part }) => part === 2)?.id, coin: usd('9.00'), note: usd('0.00'), reason: 'Four quarters were of the other box.', ...more });
  expect(errorsOf(await correct({ meteredAmount: usd('47.50') }).expect(422))).toEqual(['#/meteredAmount said-already']);
  await correct({}).expect(200);
  expect(((await office.post('/v1/settlements/preview', { agreementId: from.agreement.id, startsOn: MAY }).expect(200)).body as { totals: object }).totals).toMatchObject({ takings: usd('147.50') });
});

test('what the meters imply of a last box that was accepted without it is entered afterwards by somebody who did not count, once', async () => {
  const running = await makeRunningSite(office);
  const { site, machine, agreement } = running;
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00', { readings: [{ meterId, value: '400' }] })], { happenedAt: at(8) });
  await office.post(`/v1/placements/${running.placement.id}/end`, { removedOn: '2026-05-12' }).expect(200);
  const last = await makeAcceptedCollection(office, site, [count(machine, '50.00', '0.00', { removal: true, unread: [{ meterId, why: 'display-dark' }] })], { happenedAt: at(12, 10) });
  // Only then do the terms come to go by the meters.
  await goByMeters(office, running);
  const preview = () => office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: MAY });
  expect((await preview().expect(409)).body).toMatchObject({ code: 'cannot-be-settled' });
  expect((await office.get(`/v1/collections/${last.id}`).expect(200)).body).toMatchObject({ state: 'accepted', meteredMissing: [machine['tag']] });
  const say = (client: TestClient, amount: string) => client.post(`/v1/collections/${last.id}/metered-amounts`, { amounts: [{ machineTag: machine['tag'], amount: usd(amount), reason: 'By what the changer paid out.' }] });
  expect((await say(office, '47.50').expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await say(collector, '47.50').expect(403);
  const owner = api.operator.as('owner');
  await say(owner, '47.50').expect(200);
  expect((await office.get(`/v1/collections/${last.id}`).expect(200)).body).toMatchObject({ meteredMissing: [], meteredAmounts: [{ amount: usd('47.50'), reason: 'By what the changer paid out.' }] });
  expect((await preview().expect(200)).body).toMatchObject({ totals: { takings: usd('147.50') } });
  expect(errorsOf(await say(owner, '95.00').expect(422))).toEqual(['#/amounts/0/machineTag said-already']);
});
