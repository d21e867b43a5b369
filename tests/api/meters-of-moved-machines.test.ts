import type { MeterReading } from '#contracts/meter';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, settlementOf } from '#tests/support/closing';
import { usd } from '#tests/support/collecting';
import { inMay as at, twoMeteredSites, variancesOf } from '#tests/support/metered-move';
import { makeRunningSite } from '#tests/support/set-up';

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

test('what a meter counted at one site is paid to that site, and none of it to the next one', async () => {
  const { from, to, counted, read, move } = await twoSites();
  const first = await counted(from.site, 8, '100.00', null);
  await read('removal', at(12, 9), '400');
  await read('placement', at(12, 15), '400');
  await move();
  const second = await counted(to.site, 20, '25.00', '500');
  expect(await varianceOf(first)).toEqual([['100.00', '100.00', '0.00']]);
  expect(await varianceOf(second)).toEqual([['25.00', '25.00', '0.00']]);
  await closeMonth(api, MAY);
  expect([await settled(from.site.id), await settled(to.site.id)]).toEqual([usd('100.00'), usd('25.00')]);
});

test('what is played in the workshop is expected in no box, and shown as such', async () => {
  const { from, to, machine, counted, read, move } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await move();
  await read('removal', at(12, 9), '400');
  await read('placement', at(12, 15), '600');
  const second = await counted(to.site, 20, '25.00', '700');
  expect(await varianceOf(second)).toEqual([['25.00', '25.00', '0.00']]);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: MeterReading[] };
  expect(items.map(({ occasion, interval }) => [occasion, interval?.units ?? null, interval?.inWorkshop ?? null])).toEqual([
    ['board-fitted', null, null], ['collection', '400', false], ['removal', '0', false], ['placement', '200', true], ['collection', '100', false],
  ]);
});

test('a move that is recorded late gives each site its own, also where both were accepted before', async () => {
  const { from, to, counted, read, move } = await twoSites();
  const first = await counted(from.site, 8, '100.00', null);
  await move();
  const second = await counted(to.site, 20, '25.00', '500');
  // Nobody read it at the move: of neither site is known what is its own, and neither is settled.
  expect(await varianceOf(second)).toEqual([[null, '25.00', null, 'first-reading']]);
  const preview = ({ agreement }: typeof from) => office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: MAY });
  for (const place of [from, to]) expect((await preview(place).expect(409)).body).toMatchObject({ code: 'cannot-be-settled', detail: expect.stringContaining('metered-amount-missing') });
  await read('removal', at(12, 9), '400');
  await read('placement', at(12, 15), '400');
  expect([await varianceOf(first), await varianceOf(second)]).toEqual([[['100.00', '100.00', '0.00']], [['25.00', '25.00', '0.00']]]);
  for (const place of [from, to]) await preview(place).expect(200);
});

test('a move without readings gives the next site nothing of it silently: its settlement waits for what the meter showed then', async () => {
  const { from, to, machine, counted, read, move } = await twoSites();
  await counted(from.site, 8, '100.00', '400');
  await move();
  // 50 more at the first site, 100 at the second, and nobody read the meter in between.
  const second = await counted(to.site, 20, '25.00', '550');
  expect(await varianceOf(second)).toEqual([[null, '25.00', null, 'first-reading']]);
  const preview = () => office.post('/v1/settlements/preview', { agreementId: to.agreement.id, startsOn: MAY });
  expect((await preview().expect(409)).body).toMatchObject({ code: 'cannot-be-settled' });
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: MeterReading[] };
  expect(items.at(-1)?.interval).toMatchObject({ units: '150', acrossPlaces: true, inWorkshop: false });
  await read('removal', at(12, 9), '450');
  expect(await varianceOf(second)).toEqual([['25.00', '25.00', '0.00']]);
  await preview().expect(200);
});

test('a place that is entered late is compared by at once: what was counted there is no more the next site\'s', async () => {
  const { from, to, machine, counted, read } = await twoSites();
  await office.post(`/v1/placements/${from.placement.id}/end`, { removedOn: '2026-05-02' }).expect(200);
  await office.post('/v1/placements', { machineId: machine.id, siteId: to.site.id, placedOn: '2026-05-15' }).expect(201);
  await read('removal', at(2, 9), '0');
  await read('in-service', at(9), '300');
  const second = await counted(to.site, 20, '25.00', '400');
  expect(await varianceOf(second)).toEqual([['25.00', '25.00', '0.00']]);
  const between = await makeRunningSite(office);
  await office.post('/v1/placements', { machineId: machine.id, siteId: between.site.id, placedOn: '2026-05-04', removedOn: '2026-05-12' }).expect(201);
  expect(await varianceOf(second)).toEqual([[null, '25.00', null, 'first-reading']]);
});
