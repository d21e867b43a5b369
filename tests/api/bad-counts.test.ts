import type { Response } from 'supertest';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, visit } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makeGame, makeMachine, makePlacement, makeRunningSite, makeSite, nextCode, type Made } from '#tests/support/set-up';

// What a collector, a counter or a machine may send that cannot be: each refused by its field, with a code for programs. Today is 2026-05-02.

let api: TestApi;
let office: TestClient;
let collector: TestClient;
let bar: Awaited<ReturnType<typeof makeRunningSite>>;
let meterId: string;
let scaleCheckId: string;

const at = (day: number) => `2026-04-${String(day).padStart(2, '0')}T12:00:00-05:00`;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
  bar = await makeRunningSite(office);
  // Five digits, at most 60 plays an hour.
  ({ meterId } = await fitBoard(office, bar.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '01000' })] }));
  for (const [day, value] of [[4, '01400'], [20, '02000']] as const) await reading(meterId, day, value).expect(201);
  scaleCheckId = ((await office.post('/v1/scale-checks', { scale: 'Counting room', referenceGrams: '2000', shownGrams: '2000.4', happenedAt: '2026-05-02T14:00:00Z' }).expect(201)).body as Made).id;
});
afterAll(() => api?.close());

const reading = (meter: string, day: number, value: string) =>
  collector.post(`/v1/machines/${bar.machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(day), readings: [{ meterId: meter, value }] });
const tallied = (line: object) => collector.post('/v1/collections', visit(bar.site, [{ machineTag: bar.machine['tag'], tally: [line] }], { scaleCheckId }));

/** A machine that went from the bar to another site on 1 May. */
async function movedMachine(): Promise<Made> {
  const [machine, there] = [await makeMachine(office), await makeSite(office)];
  const placement = await makePlacement(office, { machineId: machine.id, siteId: bar.site.id });
  await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-05-01' }).expect(200);
  await makePlacement(office, { machineId: machine.id, siteId: there.id, placedOn: '2026-05-01' });
  return machine;
}

/** Of a meter that showed 1200 on the 6th and 1600 on the 10th, the later one sent first. */
async function lateReading(): Promise<Response> {
  const machine = await makeMachine(office);
  const fitted = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '01000' })] });
  const read = (day: number, value: string) => collector.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(day), readings: [{ meterId: fitted.meterId, value }] });
  for (const [day, value] of [[10, '01600'], [6, '01200']] as const) await read(day, value).expect(201);
  return read(8, '01700');
}

async function secondGame(): Promise<Response> {
  const [machine, first, second] = [await makeMachine(office), await makeGame(office), await makeGame(office)];
  await office.post('/v1/installations', { machineId: machine.id, gameId: first.id, installedOn: '2026-03-01' }).expect(201);
  return office.post('/v1/installations', { machineId: machine.id, gameId: second.id, installedOn: '2026-04-01' });
}

async function reportedForAnother(): Promise<Response> {
  const other = await makeMachine(office);
  const { secret } = (await office.post('/v1/machine-tokens', { machineId: other.id }).expect(201)).body as { secret: string };
  const body = { machineTag: bar.machine['tag'], readings: [{ meter: 'Coins', value: '02100', readAt: at(25) }] };
  return api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send(body);
}

type Row = readonly [what: string, request: () => Promise<Response>, status: number, code: string, fields: readonly string[]];

test.each<Row>([
  ['a reading lower than the last', async () => reading(meterId, 30, '01999'), 422, 'invalid-command', ['#/readings/0/value read-again']],
  ['more digits than the meter has', async () => reading(meterId, 29, '102000'), 422, 'invalid-command', ['#/readings/0/value too-many-digits']],
  ['two readings at one instant', async () => reading(meterId, 20, '02000'), 422, 'invalid-command', ['#/readings/0/meterId read-twice']],
  ['a late reading above the one after it', lateReading, 422, 'invalid-command', ['#/readings/0/value read-again']],
  ['a count for a machine that was moved yesterday', async () => collector.post('/v1/collections', visit(bar.site, [count(await movedMachine())], { happenedAt: '2026-05-02T09:00:00-05:00' })), 422, 'invalid-command', ['#/counts/0/machineTag not-placed-here']],
  ['two games in one machine', secondGame, 422, 'invalid-command', ['#/installedOn other-game']],
  ['the device token of another machine', reportedForAnother, 422, 'invalid-command', ['#/machineTag other-machine']],
  // 31 U.S.C. 5112(a): a quarter weighs 5.67 g; 1,131.2 g are 199.5 of them.
  ['a weight between two piece counts', async () => tallied({ issueId: 'usd-quarter', grams: '1131.2' }), 422, 'invalid-command', ['#/counts/0/tally/0/grams weigh-again']],
  ['an unknown denomination', async () => tallied({ issueId: 'usd-crown', pieces: 1 }), 422, 'invalid-command', ['#/counts/0/tally/0/issueId unknown-issue']],
  ['one box counted twice at a visit', async () => collector.post('/v1/collections', visit(bar.site, [count(bar.machine), count(bar.machine)])), 422, 'invalid-command', ['#/counts/1/machineTag counted-twice']],
  ['a collection that another visit holds already', async () => {
    const { body } = await collector.get(`/v1/collections/${(await makeCollection(collector, bar.site, [], { happenedAt: at(22) })).id}`).expect(200);
    return collector.post('/v1/collections', visit(bar.site, [], { happenedAt: (body as { happenedAt: string }).happenedAt }));
  }, 409, 'already-exists', ['#/happenedAt taken']],
  ['a seal that closed another bag', async () => {
    const [one, two] = [await makeCollection(collector, bar.site, [], { happenedAt: at(23) }), await makeCollection(collector, bar.site, [], { happenedAt: at(24) })];
    const bags = { bags: [{ number: nextCode('B'), seal: 'S-77' }] };
    await collector.post(`/v1/collections/${one.id}/bags`, bags).expect(201);
    return collector.post(`/v1/collections/${two.id}/bags`, bags);
  }, 409, 'already-exists', ['#/bags seal-used']],
])('refuses %s', async (_what, request, status, code, fields) => {
  const answer = await request();
  expect([answer.status, (answer.body as { code: string }).code, errorsOf(answer)]).toEqual([status, code, fields]);
  // Nobody learns from a refusal what a meter showed or a box should hold.
  const { detail = '', errors } = answer.body as { detail?: string; errors: readonly { message: string }[] };
  expect([detail, ...errors.map(({ message }) => message)].join(' ')).not.toMatch(/1400|2000|1600/);
});

test('a late reading that fits between its neighbours is taken, whatever the order', async () => {
  await reading(meterId, 12, '01700').expect(201);
  const { body } = await office.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200);
  expect((body as { items: { value: string }[] }).items.map(({ value }) => value)).toEqual(['01000', '01400', '01700', '02000']);
});
