import { randomUUID } from 'node:crypto';
import type { Response } from 'supertest';
import { permissions, type Action, type Row } from '#domain/permissions/table';
import { controllers } from '#api/controllers';
import { openApiDocument } from '#api/openapi/document';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { transmissionOf } from '#tests/support/audit-data';
import { count, makeCollection, usd, type Collected } from '#tests/support/collecting';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { etag, goByMeters, makeMachine, makePerson, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

// What is asked is walked in blind-counting.test.ts. Here whoever counts writes, rightly and wrongly: neither an answer nor a
// refusal may tell them what a box should hold.

/** Figures that occur nowhere else in these books: what meters showed and imply, and what was typed for a machine without. */
const expectedFigures = ['754.00', '391.00', '41973', '52404', '38957', '52013', '863.25', '917.25', '284.50', '43111'];
const document = openApiDocument(controllers) as { paths: { [path: string]: { [method: string]: { 'x-action': Action | 'public' | 'account' } } } };
const at = (day: number, minute = 0) => `2026-05-${String(day).padStart(2, '0')}T12:${String(minute).padStart(2, '0')}:00-05:00`;

// A test tries every route for several people: how long that takes is no matter.
jest.setTimeout(180_000);

let api: TestApi;
let owner: TestClient;
let bar: Awaited<ReturnType<typeof makeRunningSite>>;
let typed: Made;
let meterIds: readonly string[];
/** Not accepted: one without counts, with readings and an amount that was typed for its meters; one counted with such an amount. */
let open: Collected;
let waiting: Collected;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  owner = api.operator.as('owner');
  const [office, collector, reader] = [api.operator.as('bookkeeper'), api.operator.as('collector'), await api.operator.newMember('bookkeeper')];
  bar = await makeRunningSite(office, { site: { id: api.operator.siteId }, machine: { serialNumber: 'INV-88' } });
  const meters = [meterFields({ value: '38957', mostPerHour: 600 }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '52013' })];
  ({ meterIds } = await fitBoard(office, bar.machine.id, { fittedAt: at(1), meters }));
  typed = await makeMachine(office);
  await makePlacement(office, { machineId: typed.id, siteId: bar.site.id });
  const readings = [{ meterId: meterIds[0], value: '41973' }, { meterId: meterIds[1], value: '52404' }];
  const before = await makeCollection(collector, bar.site, [count(bar.machine, '741.25', '387.00', { readings }), count(typed, '859.75', '0.00', { meteredAmount: usd('863.25') })], { happenedAt: at(8) });
  await office.post(`/v1/collections/${before.id}/accept`).expect(200);
  open = await makeCollection(collector, bar.site, [], { happenedAt: at(15), collectedBy: await personOf(reader, 'bookkeeper') });
  await reader.post(`/v1/machines/${bar.machine.id}/meter-readings`, { occasion: 'collection', collectionId: open.id, readings: [{ meterId: meterIds[0], value: '43111' }] }).expect(201);
  await office.post(`/v1/collections/${open.id}/metered-amounts`, { amounts: [{ machineTag: typed['tag'], amount: usd('917.25') }] }).expect(200);
  waiting = await counted(16);
});
afterAll(() => api?.close());

/** Counted by the collector, with what its meters imply typed by the office. */
async function counted(day: number): Promise<Collected> {
  const refunds = [{ machineTag: typed['tag'], refundedOn: '2026-05-15', amount: usd('1.00') }];
  const made = await makeCollection(api.operator.as('collector'), bar.site, [count(typed, '2.00', '0.00')], { happenedAt: at(day), refunds, cashHanded: [{ amount: usd('0.50') }] });
  await api.operator.as('bookkeeper').post(`/v1/collections/${made.id}/metered-amounts`, { amounts: [{ machineTag: typed['tag'], amount: usd('917.25') }] }).expect(200);
  return made;
}

/** A person of the operator, bound to a member. */
async function personOf(member: TestClient, role: string): Promise<string> {
  const { id } = await makePerson(owner);
  await bindToPerson(owner, { accountId: member.id, role, personId: id });
  return id;
}

const told = (answer: Response): string => (Buffer.isBuffer(answer.body) ? answer.body.toString('latin1') : JSON.stringify(answer.body)) + (answer.text ?? '');
const figuresIn = (answer: Response): string[] => expectedFigures.filter((figure) => new RegExp(`(?<![\\w.-])-?0*${figure.replace('.', '\\.')}(?![\\w-])`).test(told(answer)));

let minute = 0;
type Try = { readonly path: string; readonly body: object | string };

/** Bodies for each route about cash and meters that a role which counts may write to: right ones, and ones that are refused. */
const tries: { readonly [route: string]: () => Try[] } = {
  'POST /v1/collections': () => [
    { path: '/v1/collections', body: { siteId: bar.site.id, happenedAt: at(20, (minute += 1)), counts: [count(typed, '1.00', '1.00')] } },
    { path: '/v1/collections', body: { siteId: bar.site.id, happenedAt: at(20, (minute += 1)), counts: [count(bar.machine, '1.00', '1.00', { readings: [{ meterId: meterIds[0], value: '1' }] })] } },
    { path: '/v1/collections', body: { siteId: bar.site.id, happenedAt: at(20, (minute += 1)), counts: [count(bar.machine, '1.00', '1.00', { meteredAmount: usd('1.00') })], cashHanded: [{ amount: usd('900.00') }] } },
    { path: '/v1/collections', body: { id: open.id, siteId: bar.site.id, happenedAt: at(15), counts: [] } },
  ],
  'POST /v1/collections/{id}/counts': () => [
    { path: `/v1/collections/${open.id}/counts`, body: { counts: [count(bar.machine, '1.00', '1.00', { readings: [{ meterId: meterIds[1], value: '7' }] })] } },
    { path: `/v1/collections/${open.id}/counts`, body: { counts: [count(typed, '1.00', '1.00', { meteredAmount: usd('1.00') })] } },
    { path: `/v1/collections/${open.id}/counts`, body: { counts: [count(typed, '1.00', '1.00'), count(bar.machine, '1.00', '1.00')] } },
    { path: `/v1/collections/${waiting.id}/counts`, body: { counts: [count(bar.machine, '1.00', '1.00')] } },
  ],
  'POST /v1/collections/{id}/field-counts': () => [{ path: `/v1/collections/${open.id}/field-counts`, body: { countedBy: randomUUID(), counts: [count(bar.machine, '1.00', '1.00')] } }],
  'POST /v1/collections/{id}/metered-amounts': () => [
    { path: `/v1/collections/${open.id}/metered-amounts`, body: { amounts: [{ machineTag: typed['tag'], amount: usd('1.00') }] } },
    { path: `/v1/collections/${open.id}/metered-amounts`, body: { amounts: [{ machineTag: bar.machine['tag'], amount: usd('1.00') }] } },
    { path: `/v1/collections/${waiting.id}/metered-amounts`, body: { amounts: [{ machineTag: typed['tag'], amount: usd('1.00') }] } },
  ],
  'POST /v1/collections/{id}/bags': () => [{ path: `/v1/collections/${open.id}/bags`, body: { bags: [{ number: `B-${randomUUID()}`.slice(0, 20), seal: `S-${randomUUID()}`.slice(0, 20) }] } }],
  'POST /v1/collections/{id}/unread-meters': () => [
    { path: `/v1/collections/${waiting.id}/unread-meters`, body: { meters: [{ meterId: meterIds[0], why: 'machine-off' }] } },
    { path: `/v1/collections/${open.id}/unread-meters`, body: { meters: [{ meterId: meterIds[1], why: 'display-dark' }] } },
  ],
  'POST /v1/machines/{id}/meter-readings': () => [
    { path: `/v1/machines/${bar.machine.id}/meter-readings`, body: { occasion: 'collection', collectionId: open.id, readings: [{ meterId: meterIds[0], value: '1' }] } },
    { path: `/v1/machines/${bar.machine.id}/meter-readings`, body: { occasion: 'in-service', happenedAt: at(21, (minute += 1)), readings: [{ meterId: meterIds[0], value: '1' }] } },
    { path: `/v1/machines/${bar.machine.id}/meter-readings`, body: { occasion: 'collection', collectionId: open.id, readings: [{ meterId: meterIds[1], value: '999999' }] } },
  ],
  'POST /v1/audit-files': () => [
    { path: `/v1/audit-files?collectionId=${open.id}`, body: transmissionOf({ serial: 'INV-88' }) },
    { path: `/v1/audit-files?collectionId=${open.id}`, body: transmissionOf({ serial: 'INV-88', box: [40_00, 40_01] }) },
  ],
  'POST /v1/outages': () => [
    { path: '/v1/outages', body: { machineId: bar.machine.id, startedAt: at(9), endedAt: at(10), cause: 'Coin jam', remedy: 'Cleared' } },
    { path: '/v1/outages', body: { machineId: bar.machine.id, startedAt: at(11), endedAt: at(12), cause: 'Coin jam', remedy: 'Cleared', metersAtStart: { readings: [{ meterId: meterIds[0], value: '1' }] }, metersAtEnd: { readings: [{ meterId: meterIds[1], value: '99999' }] } } },
  ],
  'POST /v1/visits': () => [],
  'POST /v1/paper-visits': () => [{ path: '/v1/paper-visits', body: { collectedBy: randomUUID(), visit: { siteId: bar.site.id, happenedAt: at(22, (minute += 1)), counts: [count(bar.machine, '1.00', '1.00')], readings: [{ machineId: bar.machine.id, meterId: meterIds[0], value: '1' }] } } }],
};

/** Routes that whoever counts may write to and that know nothing of what a box should hold: keys, scales, devices, seals, and what was entered before, by its id. */
const tellNothing = new Set([
  'POST /v1/custody-events', 'POST /v1/custody-events/{id}/acknowledgements', 'POST /v1/custody-events/{id}/denials', 'POST /v1/custody-events/{id}/signatures', 'POST /v1/key-inventories/{id}/attest', 'POST /v1/scale-checks', 'POST /v1/devices',
  'POST /v1/bags/{id}/steps', 'POST /v1/audit-files/{id}/accept', 'POST /v1/outages/{id}/end', 'POST /v1/visits/{id}/withdraw',
]);

function send(client: TestClient, route: string, { path, body }: Try) {
  const request = client.send(route.split(' ')[0] ?? 'POST', path);
  return typeof body === 'string' ? request.set('Content-Type', 'application/octet-stream').send(Buffer.from(body)) : request.send(body);
}

test('every route to which whoever counts may write is tried here, or said to know nothing of it', () => {
  const written = Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).flatMap(([method, { 'x-action': action }]) => {
      const row: Row | undefined = action === 'public' || action === 'account' ? undefined : permissions[action];
      return method === 'get' || row?.grants.collector === undefined ? [] : [`${method.toUpperCase()} ${path}`];
    }),
  );
  expect(written.sort()).toEqual([...Object.keys(tries), ...tellNothing].sort());
});

test('who counts by role learns no expected figure by writing, signed in or by a token, rightly or wrongly', async () => {
  const collector = api.operator.as('collector');
  const device = (await collector.post('/v1/devices', { name: 'Phone 7' }).expect(201)).body as { id: string; secret: string };
  let sequence = 0;
  const visitOf = (visit: object): Try => ({ path: '/v1/visits', body: { id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence: (sequence += 1), visit } });
  const visits = (): Try[] => [
    visitOf({ siteId: bar.site.id, happenedAt: at(23, (minute += 1)), counts: [count(bar.machine, '1.00', '1.00')], readings: [{ machineId: bar.machine.id, meterId: meterIds[0], value: '1' }] }),
    visitOf({ siteId: bar.site.id, happenedAt: at(23, (minute += 1)), counts: [count(bar.machine, '1.00', '1.00')], readings: [{ machineId: bar.machine.id, meterId: meterIds[1], value: '999999' }] }),
  ];
  const tokens = [await api.operator.withToken({ role: 'collector', scopes: ['read', 'collect', 'set-up', 'settle', 'custody'] })];
  const met: string[] = [];
  const statuses = new Set<number>();
  for (const client of [...tokens, collector]) {
    for (const [route, bodies] of Object.entries(tries)) {
      for (const each of route === 'POST /v1/visits' ? (client === collector ? visits() : []) : bodies()) {
        // Twice: what was refused is tried again.
        for (const answer of [await send(client, route, each), await send(client, route, each)]) {
          if (answer.status >= 500) throw new Error(`${route} answered ${String(answer.status)}`);
          statuses.add(answer.status);
          met.push(...figuresIn(answer).map((figure) => `${figure} by ${route}`));
        }
      }
    }
  }
  expect(met).toEqual([]);
  // The walk did something: some of it was taken, and some refused.
  expect([...statuses].some((status) => status < 300) && statuses.has(422)).toBe(true);
});

test('who has a hand in a count is answered by no route of a settlement with what meters said; who has none reviews it', async () => {
  const [office, collector] = [api.operator.as('bookkeeper'), api.operator.as('collector')];
  const tavern = await makeRunningSite(office);
  await goByMeters(office, tavern);
  const april = await makeCollection(collector, tavern.site, [count(tavern.machine, '655.10', '0.00', { meteredAmount: usd('671.35') })], { happenedAt: '2026-04-20T12:00:00-05:00' });
  await office.post(`/v1/collections/${april.id}/accept`).expect(200);
  const { id: closeId } = await closeMonth(api, '2026-04-01');
  const draft = await settlementOf(api, { siteId: tavern.site.id, startsOn: '2026-04-01' });
  const second = await api.operator.newMember('bookkeeper');
  const next = await makeCollection(second, tavern.site, [], { happenedAt: at(15) });
  await makeCollection(owner, tavern.site, [], { happenedAt: at(16) });
  const changes = { note: 'Looked at again.', reason: 'Looked at again.' };
  const told = ['671.35', '16.25', '268.54', '402.81'];
  const tell = async (answer: Promise<Response> | PromiseLike<Response>): Promise<[number, string[]]> => {
    const { status, body, text } = await answer;
    return [status, told.filter((figure) => (JSON.stringify(body) + (text ?? '')).includes(figure))];
  };
  const preview = (client: TestClient) => tell(client.post('/v1/settlements/preview', { agreementId: tavern.agreement.id, startsOn: '2026-04-01' }));
  const change = (client: TestClient, name: string, body: object = {}) => tell(client.post(`/v1/settlements/${draft.id}/${name}`, body).set('If-Match', etag(draft)));
  for (const client of [second, owner]) {
    expect(await preview(client)).toEqual([403, []]);
    expect(await change(client, 'review')).toEqual([403, []]);
    expect(await change(client, 'recompute')).toEqual([403, []]);
    for (const name of ['hold', 'release']) expect([name, await change(client, name, { note: changes.note })]).toEqual([name, [403, []]]);
  }
  expect(await change(owner, 'flag-override', { reason: changes.reason, flagIds: [], placementIds: [] })).toEqual([403, []]);
  expect(await preview(office)).toEqual([200, told]);
  await office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(draft)).expect(200);
  expect(await change(second, 'reopen', { note: changes.note })).toEqual([403, []]);
  await issueMonth(api, closeId);
  for (const [name, body] of [['answer', { note: changes.note }], ['question', { note: changes.note }], ['reversal', { reason: changes.reason }]] as const) expect([name, await change(second, name, body)]).toEqual([name, [403, []]]);
  const whatIf = { startsOn: '2026-04-01', endsBefore: '2026-05-01', changes: { loss: 'carry' } };
  for (const client of [second, owner]) expect(await tell(client.post('/v1/what-if', whatIf))).toEqual([422, []]);
  await second.get(`/v1/settlements/${draft.id}/statement`).expect(403);
  await second.get(`/v1/closes/${closeId}/statements`).expect(403);
  await office.get(`/v1/settlements/${draft.id}/statement`).expect(200);
  // What the office saw of it is on record: what it counts there now is not blind.
  const counted = (await office.post(`/v1/collections/${next.id}/counts`, { counts: [count(tavern.machine, '9.00', '0.00')] }).expect(200)).body as { blind: boolean };
  expect(counted.blind).toBe(false);
});

test('who has a hand in a count corrects what they may, and is answered without what the meters imply; who has none sees it', async () => {
  const second = await api.operator.newMember('bookkeeper');
  await makeCollection(second, bar.site, [count(typed, '3.00', '0.00')], { happenedAt: at(24) });
  const own = await counted(17);
  const [slip] = own['refundSlips'] as { id: string }[];
  const [handed] = own['cashHanded'] as { id: string }[];
  const corrections = (client: TestClient) => [
    () => client.post(`/v1/collections/${own.id}/corrections`, { countId: own.counts[0]?.id, coin: usd('2.25'), note: usd('0.00'), reason: 'Counted again.' }),
    () => client.post(`/v1/collections/${own.id}/refund-slip-corrections`, { refundSlipId: slip?.id, amount: usd('1.25'), reason: 'Read again.' }),
    () => client.post(`/v1/collections/${own.id}/cash-handed-corrections`, { cashHandedId: handed?.id, amount: usd('0.75'), reason: 'Read again.' }),
  ];
  for (const correct of corrections(second)) expect(figuresIn(await correct().expect(200))).toEqual([]);
  const onlooker = await api.operator.newMember('bookkeeper');
  const discarded = await onlooker.post(`/v1/collections/${own.id}/discard`, { reason: 'Entered for another site' }).expect(200);
  expect(figuresIn(discarded)).toEqual(['917.25']);
});
