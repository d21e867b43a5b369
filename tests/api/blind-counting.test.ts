import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Collection } from '#contracts/collection';
import type { VarianceMonth } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth } from '#tests/support/closing';
import { count, makeCollection, usd } from '#tests/support/collecting';
import { transmissionOf } from '#tests/support/audit-data';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { goByMeters, makeMachine, makePerson, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

/** Figures that occur nowhere else in these books. What the box should hold and how one would know: nobody who counts may meet one. */
const expectedFigures = ['917.25', '754.00', '391.00', '284.50', '12.75', '41973', '52404', '38957', '52013', '863.25'];
/** Of a settlement by the meters: what they implied of an earlier month, what of it was not counted, and the shares. */
const settledFigures = ['671.35', '16.25', '268.54', '402.81'];
/** What was counted there before: an estimate of what lies in the box now. Kept from who counts by their role. */
const earlierCounts = ['741.25', '387.00', '859.75'];

type Parameter = { readonly name: string; readonly in: string; readonly required?: boolean; readonly schema?: { readonly format?: string; readonly enum?: readonly string[] } };
const document = JSON.parse(readFileSync(join(__dirname, '../../apps/api/openapi.json'), 'utf8')) as { paths: Record<string, { get?: { parameters?: Parameter[] } }> };

// Each test asks hundreds of routes, some for several people: how long that takes is no matter.
jest.setTimeout(180_000);

let api: TestApi;
let owner: TestClient;
let bar: Awaited<ReturnType<typeof makeRunningSite>>;
let before: Made;
let open: Made;
let waiting: Made;
let flagId: string;
let visitId: string | undefined;
/** A close of April with the settlement of a site by the meters. */
let closed: { readonly id: string; readonly settlementId: string };
/** Neither counts nor has a hand in a count there. */
let onlooker: TestClient;
/** Of roles that do not count, each with a hand in the open collection: collected, held the key, counted at the machine, read the meters. */
let handed: TestClient[];

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  owner = api.operator.as('owner');
  const office = api.operator.as('bookkeeper');
  const collector = api.operator.as('collector');
  bar = await makeRunningSite(office, { site: { id: api.operator.siteId } });
  const meters = [meterFields({ value: '38957', mostPerHour: 600 }), meterFields({ label: 'Notes', tender: 'note', unitValue: usd('1.00'), value: '52013' })];
  const { meterIds } = await fitBoard(office, bar.machine.id, { fittedAt: at(1), meters });
  const typed = await makeMachine(office);
  await makePlacement(office, { machineId: typed.id, siteId: bar.site.id });
  const readings = [{ meterId: meterIds[0], value: '41973' }, { meterId: meterIds[1], value: '52404' }];
  before = await makeCollection(collector, bar.site, [count(bar.machine, '741.25', '387.00', { readings }), count(typed, '859.75', '0.00', { meteredAmount: usd('863.25') })], { happenedAt: at(8) });
  await office.post(`/v1/collections/${before.id}/accept`).expect(200);
  const rules = { name: 'Anything', currency: 'USD', effectiveOn: '2026-05-01', amount: usd('500.00'), joinedBy: 'or', percentOf: 'metered', outWhen: 'more-than' };
  await owner.post('/v1/tolerance-rule-sets', rules).expect(201);
  const flagged = await makeCollection(collector, bar.site, [count(typed, '1.00', '0.00', { meteredAmount: usd('863.25') })], { happenedAt: at(9) });
  await office.post(`/v1/collections/${flagged.id}/accept`).expect(200);
  flagId = ((await office.get('/v1/variances?month=2026-05').expect(200)).body as VarianceMonth).flags[0]?.id ?? '';
  // One that waits to be counted, and one that the owner entered and that waits to be accepted.
  onlooker = await api.operator.newMember('reviewer');
  const [auditor, reviewer, custodian, reader] = [api.operator.as('auditor'), api.operator.as('reviewer'), api.operator.as('custodian'), await api.operator.newMember('bookkeeper')];
  handed = [auditor, reviewer, custodian, reader];
  const [collected, held, field, read] = [await personOf(auditor, 'auditor'), await personOf(reviewer, 'reviewer'), await personOf(custodian, 'custodian'), await personOf(reader, 'bookkeeper')];
  open = await makeCollection(collector, bar.site, [], { happenedAt: at(15), collectedBy: collected, keyHolderId: held });
  await collector.post(`/v1/collections/${open.id}/field-counts`, { countedBy: field, counts: [count(bar.machine, '281.00', '0.00')] }).expect(200);
  waiting = await makeCollection(owner, bar.site, [count(typed, '2.00', '0.00')], { happenedAt: at(16) });
  await collector.post(`/v1/machines/${bar.machine.id}/meter-readings`, { occasion: 'collection', collectionId: open.id, readBy: read, readings: [{ meterId: meterIds[0], value: '43111' }] }).expect(201);
  // A site on terms by the meters, settled for April and counted again by the same people.
  const tavern = await makeRunningSite(office);
  await goByMeters(office, tavern);
  const april = await makeCollection(collector, tavern.site, [count(tavern.machine, '655.10', '0.00', { meteredAmount: usd('671.35') })], { happenedAt: '2026-04-20T12:00:00-05:00' });
  await office.post(`/v1/collections/${april.id}/accept`).expect(200);
  const { id: closeId } = await closeMonth(api, '2026-04-01');
  const { items: drafts } = (await office.get(`/v1/settlements?siteId=${tavern.site.id}`).expect(200)).body as { items: { id: string }[] };
  closed = { id: closeId, settlementId: drafts[0]?.id ?? '' };
  const next = await makeCollection(collector, tavern.site, [], { happenedAt: at(15), collectedBy: collected, keyHolderId: held });
  await collector.post(`/v1/collections/${next.id}/field-counts`, { countedBy: field, counts: [count(tavern.machine, '288.00', '0.00')] }).expect(200);
  await reader.post(`/v1/collections/${next.id}/metered-amounts`, { amounts: [{ machineTag: tavern.machine['tag'], amount: usd('655.55') }] }).expect(200);
  await makeCollection(owner, tavern.site, [], { happenedAt: at(16) });
  const second = await api.operator.newMember('bookkeeper');
  await second.post(`/v1/collections/${open.id}/metered-amounts`, { amounts: [{ machineTag: typed['tag'], amount: usd('917.25') }] }).expect(200);
});
afterAll(() => api?.close());

/** A person of the operator, bound to a member. */
async function personOf(member: TestClient, role: string): Promise<string> {
  const { id } = await makePerson(owner);
  await bindToPerson(owner, { accountId: member.id, role, personId: id });
  return id;
}

/** Every GET route, with the planted things wherever it takes an id. */
function everyRoute(): string[] {
  const ids: { readonly [segment: string]: readonly string[] } = { machines: [bar.machine.id], sites: [bar.site.id], collections: [before.id, open.id, waiting.id], 'variance-flags': [flagId], visits: visitId === undefined ? [] : [visitId], settlements: [closed.settlementId], closes: [closed.id] };
  const values: { readonly [name: string]: string } = {
    from: '2026-05-01', before: '2026-06-01', to: '2026-05-31', month: '2026-05', year: '2026', digest: `${'0'.repeat(32)}.${'0'.repeat(64)}`, by: 'site', on: '2026-05-31', day: '2026-05-08', cycle: 'month', startsOn: '2026-04-01', format: 'csv', index: '0', size: '1', text: 'M-',
  };
  return Object.entries(document.paths).flatMap(([path, { get }]) => {
    if (get === undefined) return [];
    const instants = /meter-readings|openers/.test(path);
    const query = (get.parameters ?? []).filter((each) => each.in === 'query' && (each.required === true || each.name === 'limit'));
    const given = query.map(({ name, schema }) => {
      const value = name === 'limit' ? '100' : (values[name] ?? schema?.enum?.[0] ?? (schema?.format === 'date' ? '2026-05-08' : undefined));
      if (value === undefined) throw new Error(`say what to ask of ${name} at ${path}`);
      return `${name}=${instants && value.length === 10 ? `${value}T00:00:00Z` : value}`;
    });
    const segment = path.split('/')[2] ?? '';
    const places = path.includes('{') ? (ids[segment] ?? [bar.site.id]) : [''];
    return places.map((id) => `${path.replaceAll(/\{[^}]+\}/g, id)}${given.length === 0 ? '' : `?${given.join('&')}`}`);
  });
}

async function found(client: TestClient, figures: readonly string[]): Promise<string[]> {
  const met: string[] = [];
  for (const route of everyRoute()) {
    const answer = await client.get(route);
    if (answer.status >= 500 && answer.status !== 503) throw new Error(`${route} answered ${String(answer.status)}`);
    const text = Buffer.isBuffer(answer.body) ? answer.body.toString('latin1') : JSON.stringify(answer.body) + (answer.text ?? '');
    met.push(...figures.filter((figure) => new RegExp(`(?<![\\w.-])-?0*${figure.replace('.', '\\.')}(?![\\w-])`).test(text)).map((figure) => `${figure} at ${route}`));
  }
  return met;
}

test('who does not count finds the figures: the walk would see them', async () => {
  const met = (await found(onlooker, [...expectedFigures, ...settledFigures, ...earlierCounts])).map((each) => each.split(' ')[0]);
  expect(expectedFigures.filter((figure) => figure !== '284.50' && !met.includes(figure))).toEqual([]);
  expect([...settledFigures, ...earlierCounts].filter((figure) => !met.includes(figure))).toEqual([]);
});

test('who counts by role meets none of them before acceptance, by any route, signed in or by a token of any scope', async () => {
  const tokens = [];
  for (const scopes of [['read'], ['collect'], ['read', 'collect', 'set-up', 'settle', 'custody']] as const) tokens.push(await api.operator.withToken({ role: 'collector', scopes: [...scopes] }));
  for (const client of [api.operator.as('collector'), ...tokens]) expect(await found(client, [...expectedFigures, ...settledFigures, ...earlierCounts])).toEqual([]);
});

test('a hand in the count seals it to a role that counts by no other, and no other role of the operator meets what is expected', async () => {
  for (const client of [...handed, api.operator.as('site-manager')]) expect(await found(client, [...expectedFigures, ...settledFigures])).toEqual([]);
});

test('who has a hand in a count there meets nothing of what is expected, nor by a token of their own with another role', async () => {
  const token = await api.operator.withToken({ role: 'reviewer', scopes: ['read'], madeBy: owner });
  const office = await api.operator.withToken({ role: 'bookkeeper', scopes: ['read', 'collect', 'set-up', 'settle', 'custody'], madeBy: owner });
  for (const client of [owner, token, office]) expect(await found(client, [...expectedFigures, ...settledFigures])).toEqual([]);
  expect((await owner.get(`/v1/variances?month=2026-05`).expect(200)).body).toMatchObject({ totals: [], withheldSites: 2 });
});

test('what a phone sent of a site is kept from who has a hand in a count there, and nothing else of the visit', async () => {
  const collector = api.operator.as('collector');
  const device = (await collector.post('/v1/devices', { name: 'Phone 4' }).expect(201)).body as { id: string; secret: string };
  visitId = randomUUID();
  const visit = { siteId: bar.site.id, happenedAt: at(17), readings: [{ machineId: bar.machine.id, meterId: bar.machine.id, value: '44417' }] };
  const sent = await collector.post('/v1/visits', { id: visitId, deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit }).expect(201);
  expect(sent.body).toMatchObject({ outcome: 'quarantined' });
  expect(await found(await api.operator.newMember('auditor'), ['44417'])).toEqual(['44417 at /v1/visits?limit=100', `44417 at /v1/visits/${visitId}`]);
  for (const client of [owner, collector]) expect(await found(client, ['44417'])).toEqual([]);
  expect((await owner.get(`/v1/visits/${visitId}`).expect(200)).body).toMatchObject({ siteCode: bar.site['code'], visit: null, problem: { errors: [{ pointer: '#/counts' }] } });
});

test('what a look told is on record: who counts afterwards is labelled, and after acceptance everybody sees it', async () => {
  const office = api.operator.as('bookkeeper');
  await office.get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200);
  const counted = (await office.post(`/v1/collections/${open.id}/counts`, { counts: [count(bar.machine, '280.00', '0.00')] }).expect(200)).body as Collection;
  expect(counted.blind).toBe(false);
  expect((await office.get(`/v1/machines/${bar.machine.id}/variances`).expect(403)).body).toMatchObject({ code: 'being-counted' });
  const reviewer = onlooker;
  expect((await reviewer.get(`/v1/collections/${waiting.id}`).expect(200)).body).toMatchObject({ blind: true });
  // Who read the meters of a visit and counts it knows what the box should hold.
  expect((await reviewer.get(`/v1/collections/${before.id}`).expect(200)).body).toMatchObject({ blind: false });
  await owner.post('/v1/collections/accept', { collectionIds: [open.id, waiting.id] }).expect(200);
  await office.get(`/v1/machines/${bar.machine.id}/variances`).expect(200);
  // The visit that is kept aside is still cash in somebody's hands: to who counts by role the site stays sealed until it is counted.
  const collector = api.operator.as('collector');
  await collector.get(`/v1/collections/${before.id}`).expect(403);
  const right = { siteId: bar.site.id, happenedAt: at(17), counts: [count(bar.machine, '4.00', '0.00')] };
  const { collectionId } = (await owner.post(`/v1/visits/${visitId ?? ''}/enter`, { visit: right, reason: 'The meter was named wrongly' }).expect(200)).body as { collectionId: string };
  // Counted at the machine by who had read its meters, whoever typed it in the office.
  expect((await reviewer.get(`/v1/collections/${collectionId}`).expect(200)).body).toMatchObject({ blind: false, recordedBy: `user:${owner.id}` });
  await office.post(`/v1/collections/${collectionId}/accept`).expect(200);
  const { body } = await collector.get(`/v1/collections/${before.id}`).expect(200);
  expect(body).toMatchObject({ counted: usd('1988.00') });
  expect(await found(owner, ['284.50'])).not.toEqual([]);
});

test('who counts learns nothing of the figures before by trying files of their own: they are held beside these only for who may see them', async () => {
  const [office, collector] = [api.operator.as('bookkeeper'), api.operator.as('collector')];
  const place = await makeRunningSite(office, { machine: { serialNumber: 'INV-71' } });
  await fitBoard(office, place.machine.id, { fittedAt: at(1), meters: [meterFields({ digits: 8, unitValue: usd('0.01'), value: '90000' })] });
  const upload = (client: TestClient, collectionId: string, box: readonly [number, number]) =>
    client.send('POST', `/v1/audit-files?${new URLSearchParams({ collectionId }).toString()}`).set('Content-Type', 'application/octet-stream').send(Buffer.from(transmissionOf({ serial: 'INV-71', box })));
  const earlier = await makeCollection(collector, place.site, [], { happenedAt: at(5) });
  const accepted = (await upload(collector, earlier.id, [40_00, 940_00]).expect(201)).body as { id: string };
  await collector.post(`/v1/audit-files/${accepted.id}/accept`, { machineId: place.machine.id }).expect(200);
  await collector.post(`/v1/collections/${earlier.id}/counts`, { counts: [count(place.machine, '40.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${earlier.id}/accept`).expect(200);
  const later = await makeCollection(collector, place.site, [], { happenedAt: at(12) });
  // More since the reset than since the set-up of the file before: no such file follows on it.
  const tries = [950_00, 1_020_00, 1_300_00, 1_500_00];
  const answers = async (client: TestClient) => {
    const statuses: number[] = [];
    for (const total of tries) statuses.push((await upload(client, later.id, [100_00, total])).status);
    return statuses;
  };
  expect(await answers(collector)).toEqual([201, 201, 201, 201]);
  expect(await answers(office)).toEqual([422, 422, 201, 201]);
});
