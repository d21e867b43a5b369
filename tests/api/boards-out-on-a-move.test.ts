import type { Collection } from '#contracts/collection';
import type { MeterTasks } from '#contracts/meter-task';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection } from '#tests/support/collecting';
import { inMay as at, variancesOf } from '#tests/support/metered-move';
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

/** 400 pulses of a quarter at the visit of the 8th; the board comes out at 11 on the day of the move, and shows 450. */
async function boardOut() {
  const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
  const { machine } = from;
  const { boardId, meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  await makeAcceptedCollection(office, from.site, [count(machine, '100.00', '0.00', { readings: [{ meterId, value: '400' }] })], { happenedAt: at(8) });
  const read = (occasion: string, happenedAt: string, meter: string, value: string) => collector.post(`/v1/machines/${machine.id}/meter-readings`, { occasion, happenedAt, readings: [{ meterId: meter, value }] }).expect(201);
  const move = () => office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: '2026-05-12' }).expect(201);
  const takeOut = () => office.post(`/v1/counter-boards/${boardId}/removal`, { removedAt: at(12, 11), readings: [{ meterId, value: '450' }] }).expect(200);
  const missing = async () => ((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings.map(({ occasion, meters }) => [occasion, ...meters.map(({ label }) => label)]);
  const last = async (hour: number) => variancesOf(reviewer, (await makeAcceptedCollection(office, from.site, [count(machine, '12.50', '0.00', { removal: true })], { happenedAt: at(12, hour) })).id);
  return { from, to, machine, meterId, read, move, takeOut, missing, last };
}

test('a board that came out on the day of a move, nobody knows at which place, does not say how the machine left: that is asked, and what it showed then parts the money', async () => {
  const { to, machine, meterId, read, move, takeOut, missing } = await boardOut();
  await move();
  await takeOut();
  expect(await missing()).toEqual(expect.arrayContaining([['removal', 'Coins']]));
  const { meterId: next } = await fitBoard(office, machine.id, { fittedAt: at(12, 13), meters: [meterFields({ value: '0' })] });
  const second = await makeAcceptedCollection(office, to.site, [count(machine, '37.50', '0.00', { readings: [{ meterId: next, value: '100' }] })], { happenedAt: at(20) });
  // What of the 50 pulses is whose is known of neither.
  expect(await variancesOf(reviewer, second.id)).toEqual([[null, '37.50', null, 'not-read']]);
  // It showed 430 as it left at 9: 20 pulses until 11 are the next place's, with 100 of the new board.
  await read('removal', at(12, 9), meterId, '430');
  expect(await missing()).toEqual([]);
  expect(await variancesOf(reviewer, second.id)).toEqual([['30.00', '37.50', '7.50']]);
});

test('it says how the machine left where the box was emptied there afterwards, and its pulses are of the place that was left', async () => {
  const { move, takeOut, missing, last } = await boardOut();
  await takeOut();
  await move();
  expect(await last(12)).toEqual([['12.50', '12.50', '0.00']]);
  expect(await missing()).toEqual([]);
});

test('so it does where the machine was read later on that day as it came to the next place', async () => {
  const { to, machine, read, move, takeOut, missing, last } = await boardOut();
  await takeOut();
  await move();
  const { meterId: next } = await fitBoard(office, machine.id, { fittedAt: at(12, 13), meters: [meterFields({ value: '0' })] });
  await read('placement', at(12, 14), next, '4');
  expect(await missing()).toEqual([]);
  // Emptied before the board came out; the 4 pulses of the workshop are of no place.
  expect(await last(10)).toEqual([['12.50', '12.50', '0.00']]);
  const second = await makeAcceptedCollection(office, to.site, [count(machine, '24.00', '0.00', { readings: [{ meterId: next, value: '100' }] })], { happenedAt: at(20) });
  expect(await variancesOf(reviewer, second.id)).toEqual([['24.00', '24.00', '0.00']]);
});

test('so it does of a machine that goes nowhere on that day', async () => {
  const { from, takeOut, missing, last } = await boardOut();
  await office.post(`/v1/placements/${from.placement.id}/end`, { removedOn: '2026-05-12' }).expect(200);
  await takeOut();
  expect(await missing()).toEqual([]);
  expect(await last(10)).toEqual([['12.50', '12.50', '0.00']]);
});

test('a last box that was emptied before its board came out with a reading asks neither for another reading nor for a reason nor for an amount', async () => {
  const { from, machine, takeOut } = await boardOut();
  await goByMeters(office, from);
  await office.post(`/v1/placements/${from.placement.id}/end`, { removedOn: '2026-05-12' }).expect(200);
  const last = await makeCollection(office, from.site, [count(machine, '12.50', '0.00', { removal: true })], { happenedAt: at(12, 10) });
  const asked = async () => {
    const { unreadMeters, meteredMissing, meteredAsked } = (await api.operator.as('owner').get(`/v1/collections/${last.id}`).expect(200)).body as Collection;
    return { unread: unreadMeters.map(({ meterLabel }) => meterLabel), meteredMissing, why: meteredAsked.flatMap(({ why }) => why) };
  };
  expect(await asked()).toMatchObject({ unread: ['Coins'], why: ['left-unread'] });
  await takeOut();
  expect(await asked()).toEqual({ unread: [], meteredMissing: [], why: [] });
});
