import { randomUUID } from 'node:crypto';
import { expectedCash } from '#backoffice/meter/expected-cash';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { usd, visit } from '#tests/support/collecting';
import { asTenant } from '#tests/support/database';
import { boardFields, fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makeMachine, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
});
afterAll(() => api?.close());

/** A machine with a board fitted on 1 April 2026, whose coin meter shows 00120. */
async function metered(fields: object = {}) {
  const { id: machineId } = await makeMachine(office);
  return { machineId, ...(await fitBoard(office, machineId, { fittedAt: '2026-04-01T12:00:00Z', ...fields })) };
}
const read = (machineId: string, body: object) => collector.post(`/v1/machines/${machineId}/meter-readings`, { occasion: 'in-service', ...body });
const day = (number: number) => `2026-04-${String(number).padStart(2, '0')}T12:00:00Z`;
const readingsOf = async (machineId: string) =>
  (await office.get(`/v1/machines/${machineId}/meter-readings`).expect(200)).body.items as { id: string; value: string | null; phase: string; happenedAt: string; interval: { kind: string; sentence: string } | null }[];

it('explains each interval in plain words', async () => {
  const { machineId, meterId } = await metered({ meters: [meterFields({ tender: 'plays', label: 'Plays', value: '99850' })] });
  await read(machineId, { happenedAt: day(3), readings: [{ meterId, value: '99986' }] }).expect(201);
  await read(machineId, { happenedAt: day(5), readings: [{ meterId, value: '00011' }] }).expect(201);
  expect((await readingsOf(machineId)).map(({ value, interval }) => [value, interval?.sentence ?? null])).toEqual([
    ['99850', null],
    ['99986', 'The meter went from 99850 to 99986: 136 plays.'],
    ['00011', 'The meter went from 99986 to 00011: taken as a rollover of 25 plays.'],
  ]);
});

it('takes readings late and out of order, and puts them where they belong', async () => {
  const { machineId, meterId } = await metered();
  for (const [on, value] of [[10, '300'], [4, '150'], [7, '200']] as const) await read(machineId, { happenedAt: day(on), readings: [{ meterId, value }] }).expect(201);
  expect((await readingsOf(machineId)).map(({ value }) => value)).toEqual(['00120', '00150', '00200', '00300']);
  expect(errorsOf(await read(machineId, { happenedAt: day(8), readings: [{ meterId, value: '00199' }] }).expect(422))).toEqual(['#/readings/0/value read-again']);
});

it('asks to read again what cannot be, says no more, and keeps it when it is so', async () => {
  const { machineId, meterId } = await metered({ meters: [meterFields({ value: '40000' })] });
  const answer = await read(machineId, { happenedAt: day(15), readings: [{ meterId, value: '00120' }] }).expect(422);
  expect(answer.body.errors).toEqual([{ in: 'body', pointer: '#/readings/0/value', code: 'read-again', message: 'Read that meter again.' }]);
  expect(JSON.stringify(answer.body)).not.toMatch(/40000|60120/);
  await read(machineId, { happenedAt: day(15), readings: [{ meterId, value: '00120', readAgain: true }] }).expect(201);
  expect((await readingsOf(machineId)).at(-1)?.interval).toMatchObject({ kind: 'reset-or-wrong', units: null, value: null });

  // What it showed before and after it was set back, found out later, gives both intervals their figure.
  await read(machineId, { happenedAt: day(14), occasion: 'board-access', readings: [{ meterId, value: '40200', valueAfter: '00000' }] }).expect(201);
  expect((await readingsOf(machineId)).map(({ interval }) => interval?.kind ?? null)).toEqual([null, 'forward', 'board-open', 'forward']);
});

it.each<[string, (ids: { meterId: string }) => object, string[]]>([
  ['more digits than the meter has', ({ meterId }) => ({ readings: [{ meterId, value: '100000' }] }), ['#/readings/0/value too-many-digits']],
  ['two readings at one instant', ({ meterId }) => ({ happenedAt: '2026-04-01T12:00:00Z', readings: [{ meterId, value: '120' }] }), ['#/readings/0/meterId read-twice']],
  ['a meter twice', ({ meterId }) => ({ readings: [{ meterId, value: '120' }, { meterId, value: '121' }] }), ['#/readings/1/meterId read-twice']],
  ['a meter of another machine', () => ({ readings: [{ meterId: randomUUID(), value: '1' }] }), ['#/readings reading-missing', '#/readings/0/meterId unknown']],
  ['a moment before the board was fitted', ({ meterId }) => ({ happenedAt: '2026-03-31T12:00:00Z', readings: [{ meterId, value: '1' }] }), ['#/readings/0/meterId not-in-machine']],
  ['what has not happened yet', ({ meterId }) => ({ happenedAt: '2026-05-03T12:00:00Z', readings: [{ meterId, value: '130' }] }), ['#/happenedAt in-future']],
  ['a board that was open without the value after', ({ meterId }) => ({ occasion: 'board-access', readings: [{ meterId, value: '130' }] }), ['#/readings/0/valueAfter after-reading-missing']],
  ['a value after on another occasion', ({ meterId }) => ({ readings: [{ meterId, value: '130', valueAfter: '0' }] }), ['#/readings/0/valueAfter not-for-occasion']],
  ['a price change without a price', ({ meterId }) => ({ occasion: 'price-change', readings: [{ meterId, value: '130' }] }), ['#/newUnitValues missing']],
  ['a price in another currency', ({ meterId }) => ({ occasion: 'price-change', readings: [{ meterId, value: '130' }], newUnitValues: [{ meterId, unitValue: { amount: '0.50', currency: 'EUR' } }] }), ['#/newUnitValues/0/unitValue/currency other-currency']],
  ['a collection without saying which', ({ meterId }) => ({ occasion: 'collection', readings: [{ meterId, value: '130' }] }), ['#/collectionId missing']],
  ['an unknown collection', ({ meterId }) => ({ occasion: 'collection', collectionId: randomUUID(), readings: [{ meterId, value: '130' }] }), ['#/collectionId unknown']],
  ['an unknown reader', ({ meterId }) => ({ readings: [{ meterId, value: '130' }], readBy: randomUUID() }), ['#/readBy unknown']],
])('refuses %s', async (_what, body, expected) => {
  const { machineId, meterId } = await metered();
  expect(errorsOf(await read(machineId, { happenedAt: day(9), ...body({ meterId }) })).sort()).toEqual(expected);
});

it('wants every meter on every occasion but a collection', async () => {
  const { machineId, meterIds } = await metered({ meters: [meterFields(), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00') })] });
  const answer = await read(machineId, { happenedAt: day(9), occasion: 'placement', readings: [{ meterId: meterIds[0], value: '130' }] }).expect(422);
  expect(answer.body.errors).toMatchObject([{ pointer: '#/readings', code: 'reading-missing', message: 'Meter Notes was not read. On this occasion every meter is.' }]);
});

it('changes a board only with readings of every meter that comes out, and never has two in one machine', async () => {
  const { machineId, boardId, meterId } = await metered();
  const fitNext = (fields: object) => office.post(`/v1/machines/${machineId}/counter-boards`, { ...boardFields([meterFields({ value: '7' })]), fittedAt: day(20), ...fields });
  expect(errorsOf(await fitNext({}).expect(422))).toEqual(['#/replacedReadings reading-missing']);
  expect(errorsOf(await fitNext({ fittedAt: day(1), replacedReadings: [{ meterId, value: '130' }] }).expect(422))).toEqual(['#/fittedAt before-fitting']);
  expect(errorsOf(await fitNext({ replacedReadings: [{ meterId, value: '119' }] }).expect(422))).toEqual(['#/replacedReadings/0/value read-again']);
  const { body } = await fitNext({ replacedReadings: [{ meterId, value: '130' }] }).expect(201);
  expect(body.items).toMatchObject([{ id: boardId, removedAt: '2026-04-20T12:00:00.000Z' }, { removedAt: null, meters: [{ label: 'Coins', digits: 5, unitValue: usd('0.25') }] }]);
  expect((await readingsOf(machineId)).map(({ value }) => value)).toEqual(['00120', '00130', '00007']);

  const removal = (id: string, fields: object) => office.post(`/v1/counter-boards/${id}/removal`, { removedAt: day(21), ...fields });
  expect((await removal(boardId, { readings: [{ meterId, value: '130' }] }).expect(409)).body.code).toBe('wrong-state');
  const fitted = body.items[1] as { id: string; meters: { id: string }[] };
  await removal(fitted.id, { readings: [{ meterId: fitted.meters[0]?.id, value: '9' }] }).expect(200);
  await fitNext({ fittedAt: day(22) }).expect(201);
  expect(errorsOf(await fitNext({ fittedAt: day(19), replacedReadings: [] }).expect(422))).toEqual(['#/fittedAt before-fitting']);
});

it('refuses a board with a value its meters cannot show, mixed currencies, or units worth nothing', async () => {
  const { id: machineId } = await makeMachine(office);
  const meters = [meterFields({ value: '100000' }), meterFields({ label: 'Notes', unitValue: { amount: '1.00', currency: 'EUR' } }), meterFields({ label: 'Plays', unitValue: usd('0.00') })];
  expect(errorsOf(await office.post(`/v1/machines/${machineId}/counter-boards`, boardFields(meters)).expect(422))).toEqual([
    '#/meters/0/value too-many-digits',
    '#/meters/1/unitValue/currency other-currency',
    '#/meters/2/unitValue/amount not-positive',
  ]);
  expect(errorsOf(await office.post(`/v1/machines/${machineId}/counter-boards`, boardFields([meterFields(), meterFields()])).expect(422))).toEqual(['#/meters taken']);
});

it('corrects a reading by a second person, beside the first, and takes a rise for true that two people saw', async () => {
  const { machineId, meterId } = await metered();
  await read(machineId, { happenedAt: day(2), readings: [{ meterId, value: '90000', readAgain: true }] }).expect(201);
  const wrong = (await readingsOf(machineId)).at(-1);
  expect(wrong?.interval?.kind).toBe('above-ceiling');
  const correct = (id: string | undefined, value: string | null) => office.post(`/v1/meter-readings/${String(id)}/corrections`, { value, reason: 'Looked at it again with the collector.' });
  expect(errorsOf(await correct(wrong?.id, '100000').expect(422))).toEqual(['#/value too-many-digits']);
  const { body } = await correct(wrong?.id, '90000').expect(201);
  expect((await readingsOf(machineId)).map(({ interval }) => interval?.kind ?? null)).toEqual([null, null, 'forward']);
  expect((await correct(wrong?.id, '1').expect(409)).body.code).toBe('wrong-state');
  expect((await correct(body.id as string, '150').expect(403)).body.code).toBe('second-person-needed');
  await api.operator.as('owner').post(`/v1/meter-readings/${body.id as string}/corrections`, { value: null, reason: 'It was the meter beside it.' }).expect(201);
  expect((await readingsOf(machineId)).map(({ value, interval }) => [value, interval])).toEqual([['00120', null], ['90000', null], ['90000', null], [null, null]]);
});

it('shows no readings to who has a hand in a collection of the machine while it waits, and to nobody whose role counts', async () => {
  const { site, machine } = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, machine.id, { fittedAt: '2026-04-01T12:00:00Z' });
  const made = (await collector.post('/v1/collections', visit(site, [], { happenedAt: day(20) })).expect(201)).body as { id: string };
  const body = { occasion: 'collection', collectionId: made.id, happenedAt: undefined, readings: [{ meterId, value: '00130' }] };
  expect((await read(machine.id, body).expect(201)).body).toEqual({ recorded: 1 });
  const statusFor = async (role: 'owner' | 'bookkeeper' | 'reviewer' | 'auditor' | 'collector' | 'site-manager') => (await api.operator.as(role).get(`/v1/machines/${machine.id}/meter-readings`)).status;
  const statuses = async () => Promise.all((['owner', 'bookkeeper', 'reviewer', 'auditor', 'collector', 'site-manager'] as const).map(statusFor));
  expect(await statuses()).toEqual([200, 200, 200, 200, 403, 403]);
  await office.post(`/v1/collections/${made.id}/counts`, { counts: [{ machineTag: machine['tag'], coin: usd('2.50'), note: usd('0.00') }] }).expect(200);
  expect(await statuses()).toEqual([200, 403, 200, 200, 403, 403]);
  await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  expect(await statuses()).toEqual([200, 200, 200, 200, 403, 403]);
  expect((await read(machine.id, { ...body, readings: [{ meterId, value: '00131' }] }).expect(409)).body.code).toBe('wrong-state');
});

it('says what lay in a box since its meters were read before, over a missed reading and a new board, coins and notes apart', async () => {
  const { site, machine } = await makeRunningSite(office);
  const meters = [meterFields(), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '10' })];
  const first = await fitBoard(office, machine.id, { fittedAt: '2026-04-01T12:00:00Z', meters });
  const collect = async (on: number, shown: readonly { meterId: string | undefined; value: string }[]): Promise<string> => {
    const { id } = (await collector.post('/v1/collections', visit(site, [], { happenedAt: day(on) })).expect(201)).body as { id: string };
    await read(machine.id, { occasion: 'collection', collectionId: id, readings: shown }).expect(201);
    return id;
  };
  const [coins, notes] = first.meterIds;
  const one = await collect(5, [{ meterId: coins, value: '220' }, { meterId: notes, value: '14' }]);
  const two = await collect(8, [{ meterId: notes, value: '20' }]);
  const replacedReadings = [{ meterId: coins, value: '300' }, { meterId: notes, value: '21' }];
  const second = await fitBoard(office, machine.id, { fittedAt: day(10), meters: meters.map((meter) => ({ ...meter, value: '0' })), replacedReadings });
  const three = await collect(12, [{ meterId: second.meterIds[0], value: '40' }, { meterId: second.meterIds[1], value: '5' }]);
  const figures = async (ids: readonly string[]) =>
    (await asTenant(api.db, api.operator.tenantId, (tx) => expectedCash(tx, ids))).map(({ collectionId, tender, expectedMinor, unknown }) => [[one, two, three].indexOf(collectionId) + 1, tender, expectedMinor, ...unknown]);
  const all = [[1, 'coin', 2_500n], [1, 'note', 400n], [2, 'coin', null, 'not-read'], [2, 'note', 600n], [3, 'coin', 3_000n], [3, 'note', 600n]];
  expect(await figures([one, two, three])).toEqual(all);
  // Asked one by one they are the same, whatever else is read for them.
  for (const [index, id] of [one, two, three].entries()) expect(await figures([id])).toEqual(all.filter(([number]) => number === index + 1));
});

it('keeps outages apart, with what was done when they end', async () => {
  const { id: machineId } = await makeMachine(office);
  const report = (body: object) => collector.post('/v1/outages', { machineId, cause: 'Coin jam', ...body });
  const { body: open } = await report({ startedAt: day(3) }).expect(201);
  expect(open).toMatchObject({ endedAt: null, remedy: null });
  expect(errorsOf(await report({ startedAt: day(9) }).expect(422))).toEqual(['#/startedAt other-outage']);
  expect(errorsOf(await report({ startedAt: day(1), endedAt: day(2) }).expect(400))).toEqual(['#/remedy one-of-two']);
  expect(errorsOf(await report({ startedAt: day(2), endedAt: day(2), remedy: 'Cleared it.' }).expect(422))).toEqual(['#/endedAt not-after-start']);
  expect(errorsOf(await report({ machineId: randomUUID(), startedAt: day(2) }).expect(422))).toEqual(['#/machineId unknown']);
  const end = (endedAt: string) => collector.post(`/v1/outages/${open.id as string}/end`, { endedAt, remedy: 'Cleared the coin path.' });
  expect(errorsOf(await end(day(3)).expect(422))).toEqual(['#/endedAt not-after-start']);
  expect((await end(day(5)).expect(200)).body).toMatchObject({ endedAt: '2026-04-05T12:00:00.000Z', remedy: 'Cleared the coin path.' });
  expect((await end(day(6)).expect(409)).body.code).toBe('wrong-state');
  await report({ startedAt: day(5) }).expect(201);
  const list = async (query: string) => ((await office.get(`/v1/outages?machineId=${machineId}${query}`).expect(200)).body.items as { startedAt: string }[]).map(({ startedAt }) => startedAt.slice(8, 10));
  expect([await list(''), await list('&state=open'), await list('&state=ended'), await list('&limit=1')]).toEqual([['05', '03'], ['05'], ['03'], ['05']]);
});
