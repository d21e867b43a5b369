import type { CollectionVariances } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, visit } from '#tests/support/collecting';
import { boardFields, fitBoard, meterFields } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, reviewer] = (['bookkeeper', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

/** A machine whose quarters are counted from the 1st on, and whose board is changed at the visit of the 8th. */
async function visited() {
  const running = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  const counted = (day: number, coin: string, readings: object[]) => makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00', { readings })], { happenedAt: at(day) });
  const change = (replacedReadings: object[]) => office.post(`/v1/machines/${running.machine.id}/counter-boards`, { ...boardFields([meterFields({ value: '7' })]), fittedAt: at(8), replacedReadings });
  return { ...running, meterId, counted, change };
}

const varianceOf = async (id: string) => {
  const { items } = (await reviewer.get(`/v1/collections/${id}/variances`).expect(200)).body as CollectionVariances;
  return items.map(({ expected, counted, unknown }) => [expected?.amount ?? null, counted.amount, ...unknown]);
};

test.each([
  ['once more', (meterId: string) => [{ meterId, value: '00400' }]],
  ['once', () => []],
])('what was read for the collection of that minute, given %s, is the last reading of the board', async (_what, replaced) => {
  const { meterId, counted, change } = await visited();
  const first = await counted(8, '100.00', [{ meterId, value: '400' }]);
  const { items } = (await change(replaced(meterId)).expect(201)).body as { items: { meters: { id: string }[] }[] };
  const second = await counted(15, '25.00', [{ meterId: items.at(-1)?.meters[0]?.id, value: '107' }]);
  expect([await varianceOf(first.id), await varianceOf(second.id)]).toEqual([[['100.00', '100.00']], [['25.00', '25.00']]]);
});

test('another value than that says which of the two has to give way', async () => {
  const { meterId, counted, change } = await visited();
  await counted(8, '100.00', [{ meterId, value: '400' }]);
  const { errors } = (await change([{ meterId, value: '404' }]).expect(422)).body as { errors: { pointer: string; code: string; message: string }[] };
  expect(errors).toEqual([expect.objectContaining({ pointer: '#/replacedReadings/0/value', code: 'read-otherwise', message: expect.stringContaining('Correct that reading first, or give the change of the board a later minute.') })]);
});

test('a visit that is entered after the change of its minute is told which minute serves', async () => {
  const { site, machine, meterId, change } = await visited();
  const { items } = (await change([{ meterId, value: '400' }]).expect(201)).body as { items: { meters: { id: string }[] }[] };
  const enter = async (id: string | undefined) => ((await office.post('/v1/collections', visit(site, [count(machine, '100.00', '0.00', { readings: [{ meterId: id, value: '400' }] })], { happenedAt: at(8) })).expect(422)).body as { errors: { code: string; message: string }[] }).errors;
  expect(await enter(meterId)).toEqual([expect.objectContaining({ code: 'read-twice', message: expect.stringContaining('an earlier minute') })]);
  expect(await enter(items.at(-1)?.meters[0]?.id)).toEqual([expect.objectContaining({ code: 'read-twice', message: expect.stringContaining('a later minute') })]);
});
