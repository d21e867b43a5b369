import type { MeterTasks } from '#contracts/meter-task';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { inMay as at, variancesOf } from '#tests/support/metered-move';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makePerson, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, collector] = [api.operator.as('bookkeeper'), api.operator.as('collector')];
});
afterAll(() => api?.close());

/** 400 quarters on the 8th. On the 12th the board is cleared, and nobody reads it. */
async function cleared() {
  const { site, machine } = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  const counted = (day: number, coin: string, value: string) => makeAcceptedCollection(office, site, [count(machine, coin, '0.00', { readings: [{ meterId, value }] })], { happenedAt: at(day) });
  await counted(8, '100.00', '400');
  const open = (client: TestClient, body: object = {}) => client.post(`/v1/machines/${machine.id}/board-openings`, { openedAt: at(12), why: 'display-dark', ...body });
  const tasks = async () => ((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings;
  const compared = ({ id }: { readonly id: string }) => variancesOf(api.operator.as('reviewer'), id);
  const flagged = async ({ id }: { readonly id: string }) => ((await office.get(`/v1/variance-flags?machineId=${machine.id}`).expect(200)).body as { items: { collectionId: string; reasons: string[] }[] }).items.filter(({ collectionId }) => collectionId === id).map(({ reasons }) => reasons);
  return { site, machine, meterId, counted, open, tasks, compared, flagged };
}

test('a board that was cleared unread is on record with who and why, is to be entered, and the count of that time is compared with nothing and flagged', async () => {
  const { machine, meterId, counted, open, tasks, compared, flagged } = await cleared();
  const person = await makePerson(office);
  expect((await open(collector).expect(403)).body).toMatchObject({ code: 'not-allowed' });
  expect(errorsOf(await open(office, { why: 'other' }).expect(400))).toEqual(['#/note missing']);
  expect(errorsOf(await open(office, { openedAt: '2026-04-01T12:00:00Z' }).expect(422))).toEqual(['#/openedAt not-in-machine']);
  const opened = await open(office, { openedBy: person.id, why: 'other', note: 'The workshop cleared it' }).expect(201);
  expect(opened.body).toMatchObject({ openedBy: person.id, why: 'other', note: 'The workshop cleared it', takenBack: null, openedAt: '2026-05-12T17:00:00.000Z' });
  expect(errorsOf(await open(office).expect(409))).toEqual(['#/openedAt taken']);
  expect(await tasks()).toMatchObject([{ occasion: 'board-access', boardOpeningId: (opened.body as { id: string }).id, at: '2026-05-12T17:00:00.000Z', meters: [{ label: 'Coins' }] }]);
  // 60 after it was set back to zero: it is not sent back to be read again, and 340 fewer are no shortage.
  const second = await counted(20, '27.50', '60');
  expect([await compared(second), await flagged(second)]).toEqual([[[null, '27.50', null, 'board-unread']], [['meters-not-read']]]);
  // The next count is known again.
  const third = await counted(27, '10.00', '100');
  expect([await compared(third), await flagged(third)]).toEqual([[['10.00', '10.00', '0.00']], []]);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { value: string; interval: { acrossOpening: boolean; value: object | null } | null }[] };
  expect(items.find(({ value }) => value === '00060')?.interval).toMatchObject({ acrossOpening: true, value: null });
  // Somebody wrote it down after all: 50 until it was opened, and 60 since.
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'board-access', happenedAt: at(12), readings: [{ meterId, value: '450', valueAfter: '0' }] }).expect(201);
  expect([await tasks(), await compared(second)]).toEqual([[], [['27.50', '27.50', '0.00']]]);
  expect(errorsOf(await open(office).expect(422))).toEqual(['#/openedAt read-already']);
});

test('no reason ends the asking, and an opening that never was is taken back', async () => {
  const { counted, open, tasks, compared } = await cleared();
  const { id } = (await open(office).expect(201)).body as { id: string };
  const second = await counted(20, '50.00', '600');
  // More than before, and nobody knows whether it was set back meanwhile.
  expect(await compared(second)).toEqual([[null, '50.00', null, 'board-unread']]);
  expect(await tasks()).toHaveLength(1);
  const takeBack = () => office.post(`/v1/board-openings/${id}/taking-back`, { reason: 'It was the machine beside it' });
  expect((await takeBack().expect(200)).body).toMatchObject({ takenBack: { reason: 'It was the machine beside it' } });
  expect((await takeBack().expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect([await tasks(), await compared(second)]).toEqual([[], [['50.00', '50.00', '0.00']]]);
});
