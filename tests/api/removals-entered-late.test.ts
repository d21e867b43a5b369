import { randomUUID } from 'node:crypto';
import type { MeterTasks } from '#contracts/meter-task';
import type { RegisteredDevice } from '#contracts/visit';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { etag, goByMeters, makeMachine, makePlacement, makeRunningSite } from '#tests/support/set-up';

const [MAY, JUNE] = ['2026-05-01', '2026-06-01'] as const;
let api: TestApi;
let office: TestClient;
let collector: TestClient;
// Both months are over at this moment, ten minutes before midnight of 2 July at the sites.
const freshApi = apiForAllTests({ now: '2026-07-03T04:50:00Z' });
beforeEach(async () => {
  api = await freshApi();
  [office, collector] = (['bookkeeper', 'collector'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient];
});

const at = (day: string, hour = 12) => `${day}T${String(hour).padStart(2, '0')}:00:00-05:00`;

/** A machine whose quarters are counted from 1 May on, and another; the site is settled by the meters. */
async function bar() {
  const running = await makeRunningSite(office);
  await goByMeters(office, running);
  const other = await makeMachine(office);
  await makePlacement(office, { machineId: other.id, siteId: running.site.id, placedOn: '2026-04-01' });
  const board = { fittedAt: at(MAY, 1), meters: [meterFields({ value: '0' })] };
  const { meterId } = await fitBoard(office, running.machine.id, board);
  const { meterId: otherMeterId } = await fitBoard(office, other.id, board);
  const counted = (machine: typeof other, coin: string, happenedAt: string, more: object) => makeAcceptedCollection(office, running.site, [count(machine, coin, '0.00', more)], { happenedAt });
  const remove = (removedOn: string) => office.post(`/v1/placements/${running.placement.id}/end`, { removedOn, meters: { readAt: at(removedOn, 9), readings: [{ meterId, value: '450' }] } }).expect(200);
  const uncounted = async () => ((await office.get(`/v1/meter-tasks?machineId=${running.machine.id}`).expect(200)).body as MeterTasks).removals.map(({ removedOn }) => removedOn);
  return { ...running, other, meterId, otherMeterId, counted, remove, uncounted };
}

test.each(['2026-06-01', '2026-05-12'])('the removal of %s, entered once May was issued, holds June until its box is counted', async (removedOn) => {
  const { site, machine, other, meterId, otherMeterId, counted, remove } = await bar();
  await counted(machine, '100.00', at('2026-05-08'), { readings: [{ meterId, value: '400' }] });
  await issueMonth(api, (await closeMonth(api, MAY)).id);
  expect((await settlementOf(api, { siteId: site.id, startsOn: MAY })).state).toBe('issued');
  await remove(removedOn);
  await counted(other, '10.00', at('2026-06-10'), { readings: [{ meterId: otherMeterId, value: '40' }] });
  await closeMonth(api, JUNE);
  const june = () => settlementOf(api, { siteId: site.id, startsOn: JUNE });
  const review = async () => {
    const settlement = await june();
    return office.post(`/v1/settlements/${settlement.id}/review`).set('If-Match', etag(settlement));
  };
  expect((await june()).totals.takings).toEqual(usd('10.00'));
  expect((await review()).body).toMatchObject({ status: 409, code: 'boxes-not-counted', detail: expect.stringContaining('Enter the count of the removal') });
  await counted(machine, '12.50', at(removedOn, 10), { removal: true });
  await office.post(`/v1/settlements/${(await june()).id}/recompute`).expect(200);
  expect((await review()).status).toBe(200);
});

test('a box that nobody counted stays a question while only the cash of other machines waits, and none while its own does', async () => {
  const { site, machine, other, remove, uncounted } = await bar();
  await remove('2026-05-12');
  const device = (await collector.post('/v1/devices', { name: 'Orla’s phone' }).expect(201)).body as RegisteredDevice;
  const sendBag = async (sequence: number, { tag }: { readonly [field: string]: unknown }) => {
    const visit = { siteId: site.id, happenedAt: at('2026-05-12', 12 + sequence), bags: [{ machineTag: tag, number: `B-${sequence}`, seal: `S-${sequence}` }] };
    const sent = await collector.post('/v1/visits', { id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence, visit }).expect(201);
    expect(sent.body).toMatchObject({ outcome: 'entered' });
  };
  await sendBag(1, other);
  expect(await uncounted()).toEqual(['2026-05-12']);
  await sendBag(2, machine);
  expect(await uncounted()).toEqual([]);
});

test('a removal that is planned is no box that nobody counted, until its day', async () => {
  const { placement, uncounted } = await bar();
  await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-07-03' }).expect(200);
  expect(await uncounted()).toEqual([]);
  api.clock.advance({ milliseconds: 11 * 60_000 });
  expect(await uncounted()).toEqual(['2026-07-03']);
});
