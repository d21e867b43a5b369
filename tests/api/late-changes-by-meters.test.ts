import type { LateChange } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { etag, goByMeters, makeRunningSite, type Made } from '#tests/support/set-up';

// A machine changes more than once in its life, and each change of a settled month is settled, however often the same thing changes.
const [APRIL, MAY, JUNE] = ['2026-04-01', '2026-05-01', '2026-06-01'] as const;

let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-07-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});

const lateChanges = async () => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items.map(({ startsOn, cause }) => `${startsOn} ${cause}`);

async function issue(startsOn: string): Promise<void> {
  expect((await issueMonth(api, (await closeMonth(api, startsOn)).id)).progress.running).toBe(false);
}

/** A meter of quarters in the machine of a site, that showed 0 on 1 April. */
async function withMeter({ site, machine }: { readonly site: Made; readonly machine: Made }) {
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: '2026-04-01T12:00:00-05:00', meters: [meterFields({ value: '0' })] });
  const counted = async (day: string, coin: string, value: string, at: Made = site) => {
    const happenedAt = moment(day);
    await makeAcceptedCollection(office, at, [count(machine, coin, '0.00', { readings: [{ meterId, value }] })], { happenedAt });
    return happenedAt;
  };
  const record = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, body).expect(201);
  const read = (occasion: string, happenedAt: string, value: string) => record({ occasion, happenedAt, readings: [{ meterId, value }] });
  return { meterId, counted, record, read };
}

test('a price that changes twice in a settled month is settled twice, though both changes are recorded without readings', async () => {
  const running = await makeRunningSite(office);
  await goByMeters(office, running);
  const { site } = running;
  const { meterId, counted, record } = await withMeter(running);
  const [first, second] = [await counted('2026-04-10', '100.00', '400'), await counted('2026-04-20', '25.00', '500')];
  await counted('2026-04-27', '25.00', '600');
  await issue(APRIL);
  const settled = async (startsOn: string) => (await settlementOf(api, { siteId: site.id, startsOn })).totals;
  expect(await settled(APRIL)).toMatchObject({ takings: usd('150.00'), siteShare: usd('60.00') });
  // The meter was read at the visits, so that each change is known with its price: 100 coins at 0.50 and not at 0.25, twice.
  const change = (happenedAt: string) => record({ occasion: 'price-change', happenedAt, newUnitValues: [{ meterId, unitValue: usd('0.50') }] });
  await change(second);
  expect(await lateChanges()).toEqual([`${APRIL} correction`]);
  await issue(MAY);
  expect(await lateChanges()).toEqual([]);
  await change(first);
  expect(await lateChanges()).toEqual([`${APRIL} correction`]);
  await issue(JUNE);
  expect([(await settled(MAY)).payable, (await settled(JUNE)).payable]).toEqual([usd('10.00'), usd('10.00')]);
});

test('a place whose last day changes twice is noted twice for the settled month of the next site', async () => {
  const [before, between, to] = [await makeRunningSite(office), await makeRunningSite(office), await makeRunningSite(office)];
  await goByMeters(office, to);
  const { counted, read } = await withMeter(before);
  const { machine } = before;
  await office.post(`/v1/placements/${before.placement.id}/end`, { removedOn: '2026-04-02' }).expect(200);
  await office.post('/v1/placements', { machineId: machine.id, siteId: to.site.id, placedOn: '2026-04-15' }).expect(201);
  await read('removal', '2026-04-02T09:00:00-05:00', '0');
  await read('in-service', '2026-04-12T09:00:00-05:00', '300');
  await counted('2026-04-20', '25.00', '400', to.site);
  await issue(APRIL);
  const settled = async (startsOn: string) => (await settlementOf(api, { siteId: to.site.id, startsOn })).totals;
  expect(await settled(APRIL)).toMatchObject({ takings: usd('25.00') });
  // It stood at a third site, until the day on which it was read: the next site's part is the same, and is not known where it stood there longer.
  const { body: place } = await office.post('/v1/placements', { machineId: machine.id, siteId: between.site.id, placedOn: '2026-04-04', removedOn: '2026-04-14' }).expect(201);
  expect(await lateChanges()).toEqual([`${APRIL} correction`]);
  await read('removal', '2026-04-14T09:00:00-05:00', '320');
  await issue(MAY);
  expect(await lateChanges()).toEqual([]);
  const leaves = async (removedOn: string) => {
    const { revision } = (await office.get(`/v1/placements/${(place as Made).id}`).expect(200)).body as Made;
    await office.patch(`/v1/placements/${(place as Made).id}`, { removedOn }).set('If-Match', etag({ revision })).expect(200);
  };
  await leaves('2026-04-15');
  expect(await lateChanges()).toEqual([`${APRIL} correction`]);
});
