import { randomUUID } from 'node:crypto';
import type { Collection } from '#contracts/collection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import { fitBoard } from '#tests/support/metering';
import { errorsOf, goByMeters, makePerson, makeRunningSite, type Made } from '#tests/support/set-up';

// Rounds are planned by the office and walked by a collector, whose phone sends what was found. Today is 2026-03-31.

let api: TestApi;
let office: TestClient;
let orla: Made;
let quay: Awaited<ReturnType<typeof makeRunningSite>>;
let mill: Awaited<ReturnType<typeof makeRunningSite>>;
const usd = (amount: string) => ({ amount, currency: 'USD' });
const tagOf = ({ machine }: { machine: Made }) => machine['tag'] as string;

beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
  orla = await makePerson(office, { name: 'Orla Venn' });
  await bindToPerson(api.operator.as('owner'), { accountId: api.operator.as('collector').id, role: 'collector', personId: orla.id });
  quay = await makeRunningSite(office, { site: { name: 'Quay Tavern' } });
  mill = await makeRunningSite(office, { site: { name: 'Mill Bar' } });
});
afterAll(() => api?.close());

const count = (site: typeof quay, coin: string) => ({ machineTag: tagOf(site), coin: usd(coin), note: usd('0.00') });
const collected = (site: typeof quay, on: string, coin: string) => office.post('/v1/collections', { siteId: site.site.id, happenedAt: `${on}T18:00:00Z`, counts: [count(site, coin)] }).expect(201);

describe('rounds', () => {
  test('a round is planned, put into another order, and called off with a reason that stays', async () => {
    const made = await office.post('/v1/rounds', { name: 'Harbour', plannedOn: '2026-04-02', collectorId: orla.id, siteIds: [quay.site.id, mill.site.id] }).expect(201);
    expect(made.body).toMatchObject({ state: 'planned', collectorName: 'Orla Venn', revision: 1, stops: [{ siteName: 'Quay Tavern', collectedOn: null }, { siteName: 'Mill Bar', collectedOn: null }] });
    const path = `/v1/rounds/${made.body.id as string}`;
    const changed = await office.patch(path, { siteIds: [mill.site.id, quay.site.id] }).set('If-Match', '"1"').expect(200);
    expect((changed.body.stops as { siteName: string }[]).map(({ siteName }) => siteName)).toEqual(['Mill Bar', 'Quay Tavern']);
    expect((await office.patch(path, { name: 'Old harbour' }).set('If-Match', '"9"').expect(412)).body.code).toBe('changed-meanwhile');
    await office.post(`${path}/cancel`, { reason: 'The van is broken.' }).expect(200);
    expect((await office.get(path).expect(200)).body).toMatchObject({ state: 'cancelled', cancelledBecause: 'The van is broken.' });
    expect((await office.post(`${path}/cancel`, { reason: 'Once more' }).expect(409)).body.code).toBe('wrong-state');
  });

  test('a site is due by its rhythm, or earlier by the cash that fills a box, and the estimate is for the office alone', async () => {
    await collected(quay, '2026-02-01', '100.00');
    await collected(quay, '2026-03-01', '280.00');
    const set = (body: object) => office.post(`/v1/sites/${quay.site.id}/collection-rhythm`, body);
    expect((await set({ everyDays: 28, boxLimit: { amount: '100', currency: 'JPY' } }).expect(422)).body.errors).toMatchObject([{ pointer: '#/boxLimit/currency', code: 'other-currency', values: { currency: 'USD' } }]);
    expect((await set({ everyDays: 28, boxLimit: usd('0.00') }).expect(422)).body.errors).toMatchObject([{ pointer: '#/boxLimit/amount', code: 'not-positive' }]);
    await set({ everyDays: 28 }).expect(200);
    const dueOf = async (client = api.operator.as('owner')) => ((await client.get('/v1/collections-due').expect(200)).body.items as { siteId: string }[]).find(({ siteId }) => siteId === quay.site.id);
    // From the first placement on 1 January 2025 to 1 March 2026 are 424 days with 380.00 counted; 30 more have passed.
    expect(await dueOf()).toMatchObject({ lastCollectedOn: '2026-03-01', dueOn: '2026-03-29', because: 'rhythm', daysOverdue: 2, machines: 1, machinesWithoutEstimate: 0, cash: usd('26.89') });
    await set({ everyDays: 28, boxLimit: usd('10.00') }).expect(200);
    expect(await dueOf()).toMatchObject({ dueOn: '2026-03-13', because: 'cash', daysOverdue: 18, boxLimit: usd('10.00') });
    // Who entered the counts that wait is shown no estimate until they are accepted.
    expect(await dueOf(office)).toMatchObject({ dueOn: '2026-03-29', because: 'rhythm', machinesWithoutEstimate: 1, cash: usd('0.00') });
    expect((await api.operator.as('collector').get('/v1/collections-due').expect(403)).body.code).toBe('not-allowed');
  });
});

type Device = { id: string; secret: string };
const collector = () => api.operator.as('collector');
const register = async (): Promise<Device> => (await collector().post('/v1/devices', { name: 'Orla’s phone' }).expect(201)).body as Device;
const envelope = (device: Device, sequence: number, visit: object) => ({ id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence, visit });
const send = (body: object) => collector().post('/v1/visits', body);
/** Without what was taken out of boxes before they were bagged. */
const roomCounts = ({ counts }: Collection) => counts.filter(({ part }) => part > 0);
const at = (hour: number) => `2026-03-30T${String(hour).padStart(2, '0')}:00:00Z`;

describe('visits by phone', () => {
  test('the phone is told where to go and which meters to read, and no figure', async () => {
    const { meterIds } = await fitBoard(office, mill.machine.id);
    await office.post('/v1/rounds', { name: 'Today', plannedOn: '2026-03-31', collectorId: orla.id, siteIds: [mill.site.id] }).expect(201);
    await office.post('/v1/rounds', { name: 'Of somebody else', plannedOn: '2026-03-31', collectorId: (await makePerson(office)).id, siteIds: [quay.site.id] }).expect(201);
    const { body } = await collector().get('/v1/own-stops').expect(200);
    expect(body).toMatchObject({ personId: orla.id, stops: [{ siteName: 'Mill Bar', collected: false, machines: [{ tag: tagOf(mill), meters: meterIds.map((meterId) => ({ meterId })) }] }] });
    expect(JSON.stringify(body)).not.toMatch(/amount|value|collectedOn/i);
  });

  test('terms that go by the meters need what these imply at the machine, and who opens the bag is neither asked for it nor shown it', async () => {
    const mews = await makeRunningSite(office, { site: { name: 'Mews Bar' } });
    await goByMeters(office, mews);
    const boxes = (await collector().get(`/v1/sites/${mews.site.id}/boxes`).expect(200)).body;
    expect(boxes).toMatchObject({ siteName: 'Mews Bar', currency: 'USD', tokens: [], byMeters: true, machines: [{ tag: tagOf(mews), meters: [] }] });
    const bag = { machineTag: tagOf(mews), number: 'B-9', seal: 'S-0900' };
    const paper = (visit: object) => office.post('/v1/paper-visits', { collectedBy: orla.id, visit: { siteId: mews.site.id, happenedAt: at(9), ...visit } });
    expect(errorsOf(await paper({ counts: [count(mews, '9.00')] }).expect(422))).toEqual(['#/visit/counts/0/meteredAmount metered-amount-missing']);
    expect(errorsOf(await paper({ bags: [bag] }).expect(422))).toEqual(['#/visit/bags/0/meteredAmount metered-amount-missing']);
    expect(errorsOf(await paper({ bags: [{ ...bag, meteredAmount: { amount: '9.00', currency: 'EUR' } }] }).expect(422))).toEqual(['#/visit/bags/0/meteredAmount/currency other-currency']);
    expect(errorsOf(await paper({ bags: [{ ...bag, machineTag: null, meteredAmount: usd('9.00') }] }).expect(400))).toEqual(['#/visit/bags one-of-two']);
    expect(errorsOf(await office.post('/v1/paper-visits', { collectedBy: randomUUID(), visit: { siteId: mews.site.id, happenedAt: at(9), bags: [{ ...bag, meteredAmount: usd('9.00') }] } }).expect(422))).toEqual(['#/collectedBy unknown']);

    const made = (await paper({ bags: [{ ...bag, meteredAmount: usd('182.50') }] }).expect(201)).body as { id: string; state: string; collectedBy: string };
    expect(made).toMatchObject({ state: 'open', collectedBy: orla.id });
    const counter = api.operator.as('collector');
    const shown = [await counter.get(`/v1/collections/${made.id}`), await counter.get(`/v1/collections/${made.id}/bags`), await counter.get('/v1/bags?day=2026-03-30')];
    expect(JSON.stringify(shown.map(({ body }) => body as object))).not.toContain('182.50');
    const counted = (await counter.post(`/v1/collections/${made.id}/counts`, { counts: [count(mews, '180.00')] }).expect(200)).body as Collection;
    expect(roomCounts(counted)).toMatchObject([{ coin: usd('180.00'), meteredAmount: null }]);
    const accepted = (await api.operator.as('owner').post(`/v1/collections/${made.id}/accept`).expect(200)).body as Collection;
    expect(roomCounts(accepted)).toMatchObject([{ coin: usd('180.00'), meteredAmount: usd('182.50') }]);
  });

  test('a visit brings the check of the scale that its coins were weighed on, and the next one the same', async () => {
    const device = await register();
    const scaleCheck = { id: randomUUID(), scale: 'Tray 2', referenceGrams: '1000', shownGrams: '1000.5', happenedAt: '2026-03-29T07:00:00Z' };
    const weighed = (hour: number, more: object) => ({ siteId: quay.site.id, happenedAt: `2026-03-29T${hour}:00:00Z`, counts: [{ machineTag: tagOf(quay), tally: [{ issueId: 'usd-quarter', grams: '1134' }] }], ...more });
    const results = [weighed(10, { scaleCheck }), weighed(11, { scaleCheck }), weighed(12, {}), weighed(13, { scaleCheck: { ...scaleCheck, shownGrams: '1000' } }), weighed(14, { scaleCheck: { ...scaleCheck, id: randomUUID(), shownGrams: '1002' } }), weighed(15, { scaleCheck: { ...scaleCheck, id: randomUUID(), happenedAt: '2026-03-28T14:59:00Z' } }),
      // On the way, before the last box was counted; and only afterwards.
      ...([[16, '16:10', '16:20'], [17, '17:21', '17:20'], [18, '18:01', '18:00']] as const).map(([hour, checked, counted]) => weighed(hour, { scaleCheck: { ...scaleCheck, id: randomUUID(), happenedAt: `2026-03-29T${checked}:00Z` }, ...(hour === 18 ? {} : { countedAt: `2026-03-29T${counted}:00Z` }) }))];
    const found = [];
    for (const [index, visit] of results.entries()) {
      const { body } = await send(envelope(device, index + 1, visit)).expect(201);
      const sent = (await office.get(`/v1/visits/${body.id as string}`).expect(200)).body as { problem: { errors: { pointer: string; code: string }[] } | null };
      found.push(errorsOf({ body: sent.problem ?? {} }));
    }
    expect(found).toEqual([[], [], ['#/counts/0/tally/0/grams scale-not-checked'], ['#/scaleCheck/id taken'], ['#/scaleCheckId scale-shows-wrong'], ['#/scaleCheckId scale-check-too-old'], [], ['#/scaleCheckId scale-check-too-late'], ['#/scaleCheckId scale-check-too-late']]);
    const checks = (await office.get('/v1/scale-checks?limit=200').expect(200)).body.items as { scale: string }[];
    expect(checks.filter(({ scale }) => scale === 'Tray 2')).toHaveLength(2);
  });

  test('a visit is entered once, however often it comes, and its answer never changes', async () => {
    const device = await register();
    const body = envelope(device, 1, { siteId: quay.site.id, happenedAt: at(8), counts: [count(quay, '50.00')], cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Bo Tarn', signature: [[0, 0, 400, 900]] }] });
    const first = await send(body).expect(201);
    expect(first.body).toEqual({ id: body.id, outcome: 'entered', collectionId: body.id, deviceRevoked: false });
    expect((await send(body).expect(201)).body).toEqual(first.body);
    expect((await office.get(`/v1/collections/${body.id}`).expect(200)).body).toMatchObject({ state: 'counted', collectedBy: orla.id, counted: usd('50.00'), cashHanded: [{ acknowledgedBy: 'Bo Tarn' }] });
    const other = { ...body, visit: { ...body.visit, counts: [count(quay, '51.00')] } };
    // Another version of it is no answer to the first, and is not lost either.
    for (const again of [other, other]) expect((await send(again).expect(201)).body).toEqual({ id: body.id, outcome: 'quarantined', collectionId: null, deviceRevoked: false });
    const versions = ((await api.operator.as('auditor').get('/v1/visits?state=quarantined').expect(200)).body.items as { problem: { code: string }; visit: object }[]).filter(({ problem }) => problem.code === 'visit-differs');
    expect(versions).toMatchObject([{ visit: other.visit }]);
    expect((await office.get(`/v1/collections/${body.id}`).expect(200)).body).toMatchObject({ counted: usd('50.00') });
    // After a lost answer the same visit may come from a phone that was registered anew.
    const anew = await register();
    expect((await send({ ...body, deviceId: anew.id, deviceSecret: anew.secret }).expect(201)).body).toEqual(first.body);
    const late = await send({ ...envelope(device, 1, { ...body.visit, happenedAt: at(9) }) }).expect(409);
    expect(late.body).toMatchObject({ code: 'visit-out-of-order', errors: [{ pointer: '#/sequence' }] });
  });

  test('sealed bags leave the collection open for the counting room, with readings and what was handed out', async () => {
    const [meter] = ((await office.get(`/v1/machines/${mill.machine.id}/counter-boards`).expect(200)).body.items as { meters: { id: string }[] }[]).flatMap(({ meters }) => meters);
    const visit = {
      siteId: mill.site.id,
      happenedAt: at(10),
      bags: [{ machineTag: tagOf(mill), number: 'B-7', seal: 'S-0001' }],
      readings: [{ machineId: mill.machine.id, meterId: meter?.id, value: '00123' }],
      cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Bo Tarn' }],
    };
    const device = await register();
    const { body } = await send(envelope(device, 1, visit)).expect(201);
    expect(body.outcome).toBe('entered');
    expect((await office.get(`/v1/collections/${body.id as string}`).expect(200)).body).toMatchObject({ state: 'open', handed: usd('20.00') });
    expect((await office.get(`/v1/collections/${body.id as string}/bags`).expect(200)).body.items).toMatchObject([{ machineTag: tagOf(mill), number: 'B-7', seal: 'S-0001' }]);
    const read = (await api.operator.as('auditor').get(`/v1/machines/${mill.machine.id}/meter-readings`).expect(200)).body.items as { collectionId: string | null; value: string; readBy: string; readAgain: boolean }[];
    expect(read.filter(({ collectionId }) => collectionId === body.id)).toMatchObject([{ value: expect.stringMatching(/0*123$/), readBy: orla.id, readAgain: false }]);
    // A seal that closed a bag before is no seal: the visit is kept aside, and the field named.
    const again = await send(envelope(device, 2, { ...visit, happenedAt: at(11), readings: [] })).expect(201);
    expect((await office.get(`/v1/visits/${again.body.id as string}`).expect(200)).body).toMatchObject({ state: 'quarantined', problem: { code: 'already-exists', errors: [{ pointer: '#/bags', code: 'seal-used' }] } });
  });

  test('a box that was bagged is empty from then on, and what the bag held is takings beside what was handed over', async () => {
    const inn = await makeRunningSite(office, { site: { name: 'Ferry Inn' } });
    await office.post('/v1/collections', { siteId: inn.site.id, happenedAt: '2026-03-01T18:00:00Z', counts: [count(inn, '380.00')] }).expect(201);
    const cashOf = async () => ((await api.operator.as('owner').get('/v1/collections-due').expect(200)).body.items as { siteId: string; cash: object }[]).find(({ siteId }) => siteId === inn.site.id)?.cash;
    // 380.00 in 424 days, and 30 days since.
    expect(await cashOf()).toEqual(usd('26.89'));
    const device = await register();
    const visit = { siteId: inn.site.id, happenedAt: at(15), bags: [{ machineTag: tagOf(inn), number: 'B-9', seal: 'S-0009' }], cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Bo Tarn' }] };
    const { body } = await send(envelope(device, 1, visit)).expect(201);
    // One day since.
    expect(await cashOf()).toEqual(usd('0.90'));
    const counted = await office.post(`/v1/collections/${body.collectionId as string}/counts`, { counts: [count(inn, '20.00')] }).expect(200);
    expect(counted.body).toMatchObject({ state: 'counted', bagged: true, counted: usd('25.00'), handed: usd('5.00') });
  });

  test('what cannot be entered is kept word for word, and entered as it is right or discarded with the reason', async () => {
    const device = await register();
    const inn = await makeRunningSite(office, { site: { name: 'Weir Inn' } });
    const wrong = envelope(device, 1, { siteId: inn.site.id, happenedAt: at(12), counts: [{ machineTag: 'NO-SUCH', coin: usd('7.00'), note: usd('0.00') }] });
    const noForm = envelope(device, 2, { siteId: quay.site.id, happenedAt: 'this morning' });
    for (const body of [wrong, noForm]) expect((await send(body).expect(201)).body).toEqual({ id: body.id, outcome: 'quarantined', collectionId: null, deviceRevoked: false });
    const kept = (await office.get(`/v1/visits/${wrong.id}`).expect(200)).body;
    expect(kept).toMatchObject({ state: 'quarantined', personName: 'Orla Venn', deviceName: 'Orla’s phone', visit: wrong.visit, problem: { errors: [{ pointer: '#/counts/0/machineTag', code: 'unknown-machine' }] } });
    expect((await office.get(`/v1/visits/${noForm.id}`).expect(200)).body.problem).toMatchObject({ code: 'invalid-request' });
    const enter = (visit: object) => office.post(`/v1/visits/${wrong.id}/enter`, { visit, reason: 'The tag was read wrongly.' });
    expect((await enter(wrong.visit).expect(422)).body.errors).toMatchObject([{ pointer: '#/visit/counts/0/machineTag' }]);
    const right = { ...wrong.visit, counts: [count(inn, '7.00')] };
    expect((await enter(right).expect(200)).body).toMatchObject({ state: 'corrected', collectionId: wrong.id, visit: wrong.visit, ruling: { kind: 'entered', reason: 'The tag was read wrongly.' } });
    expect((await office.get(`/v1/collections/${wrong.id}`).expect(200)).body).toMatchObject({ collectedBy: orla.id, counted: usd('7.00') });
    // Who entered it has a hand in the collection from then on, and is shown no figure before it is accepted.
    const afterwards = (await office.get(`/v1/visits/${wrong.id}`).expect(200)).body;
    expect(afterwards).toMatchObject({ visit: null, problem: { errors: [{ code: 'unknown-machine' }] }, ruling: { entered: null } });
    expect((await api.operator.as('auditor').get(`/v1/visits/${wrong.id}`).expect(200)).body).toMatchObject({ visit: wrong.visit, ruling: { entered: right } });
    expect((await enter(right).expect(409)).body.code).toBe('wrong-state');
    await office.post(`/v1/visits/${noForm.id}/discard`, { reason: 'Entered on paper.' }).expect(200);
    const discarded = (await office.get('/v1/visits?state=discarded').expect(200)).body.items as { id: string }[];
    expect(discarded.map(({ id }) => id)).toEqual([noForm.id]);
  });

  test('a revoked device still loses nothing: its visits are kept aside', async () => {
    const device = await register();
    const earlier = await send(envelope(device, 1, { siteId: mill.site.id, happenedAt: at(13), counts: [count(mill, '1.00')] })).expect(201);
    expect(earlier.body.outcome).toBe('entered');
    await office.post(`/v1/devices/${device.id}/revoke`, { reason: 'Left in a taxi.' }).expect(200);
    const { body } = await send(envelope(device, 1, { siteId: quay.site.id, happenedAt: at(14), counts: [count(quay, '9.00')] })).expect(201);
    expect(body).toMatchObject({ outcome: 'quarantined', deviceRevoked: true });
    expect((await office.get(`/v1/visits/${body.id as string}`).expect(200)).body).toMatchObject({ sequence: 2, problem: { code: 'device-revoked' } });
    const [listed] = ((await office.get('/v1/devices').expect(200)).body.items as { id: string }[]).filter(({ id }) => id === device.id);
    expect(listed).toMatchObject({ revokedBecause: 'Left in a taxi.', visits: 2, personName: 'Orla Venn' });
    // Whoever found it may still be signed in on it: the account registers no other phone before the office releases it.
    expect((await collector().post('/v1/devices', { name: 'Another phone' }).expect(409)).body).toMatchObject({ code: 'device-not-released' });
    await collector().post(`/v1/devices/${device.id}/release`, { reason: 'It is me.' }).expect(403);
    const released = await office.post(`/v1/devices/${device.id}/release`, { reason: 'Orla called and came by.' }).expect(200);
    expect(released.body).toMatchObject({ releasedBecause: 'Orla called and came by.', releasedBy: `user:${office.id}`, revokedBecause: 'Left in a taxi.' });
    const anew = await register();
    expect((await office.post(`/v1/devices/${anew.id}/release`, { reason: 'Nothing to release.' }).expect(409)).body.code).toBe('wrong-state');
    const own = (await office.post('/v1/devices', { name: 'Office phone' }).expect(201)).body as { id: string };
    await office.post(`/v1/devices/${own.id}/revoke`, { reason: 'Broken.' }).expect(200);
    expect((await office.post(`/v1/devices/${own.id}/release`, { reason: 'Mended.' }).expect(403)).body.code).toBe('second-person-needed');
    await api.operator.as('owner').post(`/v1/devices/${own.id}/release`, { reason: 'Mended.' }).expect(200);
  });

  test('a kept visit is withdrawn by who made it or by the office, stays listed with the reason, and is entered by nobody', async () => {
    const device = await register();
    const [one, two] = [1, 2].map((sequence) => envelope(device, sequence, { siteId: quay.site.id, happenedAt: 'this morning' }));
    for (const body of [one, two]) await send(body ?? {}).expect(201);
    const withdraw = (client: TestClient, id: string | undefined) => client.post(`/v1/visits/${id ?? ''}/withdraw`, { reason: 'Entered on paper.' });
    await withdraw(await api.operator.newMember('collector'), one?.id).expect(404);
    expect((await withdraw(collector(), one?.id).expect(200)).body).toEqual({ id: one?.id, state: 'withdrawn' });
    await withdraw(office, two?.id).expect(200);
    for (const client of [collector(), office]) expect((await withdraw(client, one?.id).expect(409)).body.code).toBe('wrong-state');
    expect((await office.post(`/v1/visits/${one?.id ?? ''}/enter`, { visit: { siteId: quay.site.id, happenedAt: at(20), counts: [count(quay, '1.00')] }, reason: 'As it was.' }).expect(409)).body.code).toBe('wrong-state');
    const listed = (await api.operator.as('auditor').get('/v1/visits?state=withdrawn').expect(200)).body.items as { id: string }[];
    expect(listed).toEqual(expect.arrayContaining([expect.objectContaining({ id: one?.id, ruling: expect.objectContaining({ kind: 'withdrawn', reason: 'Entered on paper.', ruledBy: `user:${collector().id}` }) })]));
    // It stays marked until somebody of the office who neither made nor withdrew it has seen it.
    const seen = (client: TestClient, id: string | undefined) => client.post(`/v1/visits/${id ?? ''}/seen`);
    const unseen = async () => ((await office.get('/v1/visits?state=withdrawn&seen=no').expect(200)).body.items as { id: string }[]).map(({ id }) => id);
    expect(await unseen()).toEqual(expect.arrayContaining([one?.id, two?.id]));
    expect((await seen(office, two?.id).expect(403)).body.code).toBe('second-person-needed');
    expect((await seen(office, one?.id).expect(200)).body).toMatchObject({ state: 'withdrawn', seen: { by: `user:${office.id}` } });
    expect((await seen(office, one?.id).expect(409)).body.code).toBe('wrong-state');
    expect((await unseen()).filter((id) => id === one?.id || id === two?.id)).toEqual([two?.id]);
    // The phone may send it again, and gets the answer that it got.
    expect((await send(one ?? {}).expect(201)).body).toEqual({ id: one?.id, outcome: 'quarantined', collectionId: null, deviceRevoked: false });
  });

  test('whoever made a kept visit does not discard it', async () => {
    const device = (await office.post('/v1/devices', { name: 'Phone of the office' }).expect(201)).body as { id: string; secret: string };
    const own = envelope(device, 1, { siteId: quay.site.id, happenedAt: 'this morning' });
    await office.post('/v1/visits', own).expect(201);
    expect((await office.post(`/v1/visits/${own.id}/discard`, { reason: 'There was nothing in it.' }).expect(403)).body.code).toBe('second-person-needed');
    const settled = await api.operator.as('owner').post(`/v1/visits/${own.id}/discard`, { reason: 'Looked at with the bookkeeper.' }).expect(200);
    expect(settled.body).toMatchObject({ state: 'discarded', ruling: { ruledBy: `user:${api.operator.as('owner').id}` } });
  });

  test('a device serves only who registered it, with its own secret', async () => {
    const device = await register();
    const visit = { siteId: quay.site.id, happenedAt: at(15), counts: [count(quay, '9.00')] };
    const unknown = { code: 'invalid-command', errors: [{ pointer: '#/deviceId', code: 'unknown' }] };
    expect((await office.post('/v1/visits', envelope(device, 1, visit)).expect(422)).body).toMatchObject(unknown);
    expect((await send(envelope({ ...device, secret: 'guessed' }, 1, visit)).expect(422)).body).toMatchObject(unknown);
    expect(JSON.stringify((await collector().get('/v1/devices').expect(200)).body)).not.toContain(device.secret);
  });

  test('two visits of one phone at the same time both arrive, each once', async () => {
    const device = await register();
    const bodies = [1, 2].map((sequence) => envelope(device, sequence, { siteId: quay.site.id, happenedAt: at(15 + sequence), counts: [count(quay, '3.00')] }));
    const [first = {}, second = {}] = bodies;
    const answers = await Promise.all([send(first), send(first), send(first)]);
    expect(answers.map(({ body }) => body.outcome as string)).toEqual(['entered', 'entered', 'entered']);
    await send(second).expect(201);
    const visits = (await office.get('/v1/visits?state=entered').expect(200)).body.items as { deviceId: string; sequence: number }[];
    expect(visits.filter(({ deviceId }) => deviceId === device.id).map(({ sequence }) => sequence).sort()).toEqual([1, 2]);
  });
});

describe('reports from machines', () => {
  test('count once in whatever order they come, replace nothing, and say what lies in the box now', async () => {
    const inn = await makeRunningSite(office, { site: { name: 'Lock Inn' } });
    const { meterId } = await fitBoard(office, inn.machine.id);
    const collection = (await office.post('/v1/collections', { siteId: inn.site.id, happenedAt: '2026-03-20T18:00:00Z', counts: [count(inn, '40.00')] }).expect(201)).body as { id: string };
    await office.post(`/v1/machines/${inn.machine.id}/meter-readings`, { occasion: 'collection', collectionId: collection.id, readings: [{ meterId, value: '00500' }] }).expect(201);
    await office.post(`/v1/collections/${collection.id}/accept`).expect(200);
    const token = (await office.post('/v1/machine-tokens', { machineId: inn.machine.id }).expect(201)).body as { id: string; secret: string };
    const report = (body: object, secret = token.secret) => api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(inn), ...body });
    const late = { meter: 'Coins', value: '00540', readAt: '2026-03-28T12:00:00Z' };
    const latest = { meter: 'Coins', value: '00580', readAt: '2026-03-31T11:00:00Z' };
    const fault = { kind: 'fault', happenedAt: '2026-03-29T09:00:00Z', fault: 'E-12' };
    expect((await report({ readings: [latest], events: [fault] }).expect(200)).body).toEqual({ readings: 1, events: 1 });
    expect((await report({ readings: [latest, late, late], events: [fault] }).expect(200)).body).toEqual({ readings: 1, events: 0 });
    const shown = (await office.get(`/v1/machines/${inn.machine.id}/reports`).expect(200)).body;
    expect(shown).toMatchObject({ readings: [{ value: '580' }, { value: '540' }], events: [{ kind: 'fault', fault: 'E-12' }] });
    const read = (await office.get(`/v1/machines/${inn.machine.id}/meter-readings`).expect(200)).body.items as { value: string }[];
    expect(read.map(({ value }) => value)).not.toContainEqual(expect.stringMatching(/5[48]0$/));
    // 80 quarters since the box was emptied at 500.
    const due = (await office.get('/v1/collections-due').expect(200)).body.items as { siteName: string }[];
    expect(due.find(({ siteName }) => siteName === 'Lock Inn')).toMatchObject({ cash: usd('20.00') });

    const wrong = await report({ machineTag: tagOf(mill) }).expect(422);
    expect(wrong.body.errors).toMatchObject([{ pointer: '#/machineTag', code: 'other-machine' }]);
    const refused = await report({ readings: [{ ...latest, meter: 'Notes' }, { ...latest, value: '123456' }, { ...latest, readAt: '2026-04-02T00:00:00Z' }], events: [{ ...fault, happenedAt: '2026-04-02T00:00:00Z' }] }).expect(422);
    expect(refused.body.errors).toMatchObject([
      { pointer: '#/readings/0/meter', code: 'unknown' }, { pointer: '#/readings/1/value', code: 'too-many-digits' }, { pointer: '#/readings/2/readAt', code: 'in-future' }, { pointer: '#/events/0/happenedAt', code: 'in-future' },
    ]);
    const unknown = { code: 'not-signed-in' };
    expect((await report({}, token.secret.replace(/.$/, (last) => (last === 'A' ? 'B' : 'A'))).expect(401)).body).toMatchObject(unknown);
    expect((await report({}, token.secret.replace(api.operator.tenantId, api.other.tenantId)).expect(401)).body).toMatchObject(unknown);
    expect((await api.anonymous.post('/v1/machine-reports').send({ machineTag: tagOf(inn) }).expect(401)).body).toMatchObject(unknown);
    await office.post(`/v1/machine-tokens/${token.id}/revoke`).expect(200);
    expect((await report({}).expect(401)).body).toMatchObject(unknown);
    expect((await office.get('/v1/machine-tokens').expect(200)).body.items).toMatchObject([{ machineTag: tagOf(inn), lastReportAt: '2026-03-31T12:00:00.000Z' }]);
  });

  test('propose outages and their end, which count when somebody records them', async () => {
    const cove = await makeRunningSite(office, { site: { name: 'Cove Bar' } });
    const { secret } = (await office.post('/v1/machine-tokens', { machineId: cove.machine.id }).expect(201)).body as { secret: string };
    const tell = (kind: string, happenedAt: string, fault = '') => ({ kind, happenedAt, ...(fault === '' ? {} : { fault }) });
    const events = [
      tell('fault', '2026-03-24T09:00:00Z', 'E-7'), tell('fault', '2026-03-24T10:00:00Z', 'E-7'), tell('fault-cleared', '2026-03-26T09:00:00Z', 'E-7'),
      tell('fault', '2026-03-27T09:00:00Z', 'E-8'), tell('fault-cleared', '2026-03-27T09:40:00Z', 'E-8'),
      tell('door-opened', '2026-03-28T09:00:00Z'),
      tell('fault', '2026-01-02T09:00:00Z', 'E-9'), tell('fault-cleared', '2026-01-04T09:00:00Z', 'E-9'), tell('fault', '2026-01-05T09:00:00Z', 'E-9'), tell('fault', '2026-03-20T09:00:00Z', 'E-9'),
    ];
    await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(cove), events }).expect(200);
    type Fault = { machineTag: string; kind: string; startedAt: string; endedAt: string | null; proposes: string; outageId: string | null };
    const proposed = async () => ((await collector().get('/v1/machine-faults').expect(200)).body.items as Fault[]).filter(({ machineTag }) => machineTag === tagOf(cove));
    // Neither a fault that was over within the hour nor one that was over months ago is proposed; one that goes on is, from its first message.
    expect(await proposed()).toMatchObject([
      { kind: 'door', startedAt: '2026-03-28T09:00:00.000Z', endedAt: null, proposes: 'outage' },
      { kind: 'fault', fault: 'E-7', siteName: 'Cove Bar', startedAt: '2026-03-24T09:00:00.000Z', endedAt: '2026-03-26T09:00:00.000Z', proposes: 'outage' },
      { kind: 'fault', fault: 'E-9', startedAt: '2026-01-05T09:00:00.000Z', endedAt: null, proposes: 'outage' },
    ]);
    // What is no outage is dismissed with a reason, by the office, and proposed again only when it begins anew.
    const loose = { machineId: cove.machine.id, kind: 'fault', fault: 'E-7', startedAt: '2026-03-24T09:00:00Z', reason: 'A loose contact.' };
    await collector().post('/v1/machine-faults/dismissals', loose).expect(403);
    await office.post('/v1/machine-faults/dismissals', loose).expect(201);
    expect(errorsOf(await office.post('/v1/machine-faults/dismissals', loose).expect(422))).toEqual(['#/startedAt unknown']);
    expect((await proposed()).map(({ kind, startedAt }) => `${kind} ${startedAt.slice(0, 10)}`)).toEqual(['door 2026-03-28', 'fault 2026-01-05']);
    expect((await office.get('/v1/machine-faults').expect(200)).body.dismissed).toMatchObject([{ machineTag: tagOf(cove), fault: 'E-7', reason: 'A loose contact.' }]);
    await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(cove), events: [tell('fault-cleared', '2026-01-06T09:00:00Z', 'E-9'), tell('fault-cleared', '2026-03-20T09:20:00Z', 'E-9')] }).expect(200);
    const { id } = (await office.post('/v1/outages', { machineId: cove.machine.id, startedAt: '2026-03-28T09:00:00Z', cause: 'Door open' }).expect(201)).body as { id: string };
    expect(await proposed()).toEqual([]);
    await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(cove), events: [tell('door-closed', '2026-03-30T09:00:00Z')] }).expect(200);
    expect(await proposed()).toMatchObject([{ kind: 'door', endedAt: '2026-03-30T09:00:00.000Z', proposes: 'end', outageId: id }]);
    expect(errorsOf(await office.post('/v1/machine-faults/dismissals', { machineId: cove.machine.id, kind: 'door', startedAt: '2026-03-28T09:00:00Z', reason: 'Left ajar.' }).expect(422))).toEqual(['#/startedAt outage-recorded']);
    await office.post(`/v1/outages/${id}/end`, { endedAt: '2026-03-30T09:00:00Z', remedy: 'Hinge mended.' }).expect(200);
    expect(await proposed()).toEqual([]);
  });

  test('say what a lost key exposes while they are fresh, and stand beside a count that is short', async () => {
    const pier = await makeRunningSite(office, { site: { name: 'Pier Room' } });
    const { meterId } = await fitBoard(office, pier.machine.id);
    const visit = async (happenedAt: string, value: string, coin: string) => {
      const made = (await office.post('/v1/collections', { siteId: pier.site.id, happenedAt, counts: [{ ...count(pier, coin), readings: [{ meterId, value }] }] }).expect(201)).body as { id: string };
      await office.post(`/v1/collections/${made.id}/accept`).expect(200);
    };
    const { secret } = (await office.post('/v1/machine-tokens', { machineId: pier.machine.id }).expect(201)).body as { secret: string };
    const reported = async (readAt: string, value: string) => {
      await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(pier), readings: [{ meter: 'Coins', value, readAt }] }).expect(200);
    };
    // 120 at the fitting; 400 quarters to the first visit and 480 more to the second, of which 60.00 lay in the box.
    await visit('2026-03-02T18:00:00Z', '00520', '100.00');
    await reported('2026-03-02T17:00:00Z', '516');
    await reported('2026-03-20T16:00:00Z', '996');
    await visit('2026-03-20T18:00:00Z', '01000', '60.00');
    const reviewer = api.operator.as('reviewer');
    const { flags } = (await reviewer.get(`/v1/variances?month=2026-03&siteId=${pier.site.id}`).expect(200)).body as { flags: { id: string }[] };
    const detail = (await reviewer.get(`/v1/variance-flags/${flags[0]?.id ?? ''}`).expect(200)).body;
    expect(detail.flag.figures).toMatchObject([{ expected: usd('120.00'), counted: usd('60.00') }]);
    expect(detail.machineSays).toEqual([{ from: '2026-03-02T17:00:00.000Z', to: '2026-03-20T16:00:00.000Z', amounts: [{ tender: 'coin', amount: usd('120.00') }] }]);

    // A door in the night, and one before the box was emptied the time before.
    const events = [['door-opened', '2026-03-01T01:00:00Z'], ['door-closed', '2026-03-01T01:05:00Z'], ['door-opened', '2026-03-10T02:13:00Z'], ['door-closed', '2026-03-10T02:16:00Z'], ['door-opened', '2026-03-20T17:58:00Z'], ['door-closed', '2026-03-20T18:20:00Z']] as const;
    await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: tagOf(pier), events: [...events.map(([kind, happenedAt]) => ({ kind, happenedAt })), { kind: 'fault-cleared', fault: 'E7', happenedAt: '2026-03-03T09:00:00Z' }] }).expect(200);
    expect((await reviewer.get(`/v1/variance-flags/${flags[0]?.id ?? ''}`).expect(200)).body.machineEvents).toEqual([
      { kind: 'fault', fault: 'E7', startedAt: null, endedAt: '2026-03-03T09:00:00.000Z' },
      { kind: 'door', fault: null, startedAt: '2026-03-10T02:13:00.000Z', endedAt: '2026-03-10T02:16:00.000Z' },
      { kind: 'door', fault: null, startedAt: '2026-03-20T17:58:00.000Z', endedAt: null },
    ]);

    const books = keyBooks(api.operator);
    const cut = await books.cut({ class: 'cash-box' });
    await books.lock({ machineId: pier.machine.id, cut, opens: 'cash-box', fittedAt: '2026-01-02T08:00:00Z' });
    const exposed = async (query = '') => (await office.get(`/v1/key-codes/${cut.id}/reach${query}`).expect(200)).body.machines[0].cash as object;
    // 100.00 and 60.00 in the 444 days since it was placed, times the 11 or 12 since the last visit.
    expect(await exposed()).toMatchObject({ source: 'daily-takings', reportedAt: null });
    await reported('2026-03-31T11:00:00Z', '1036');
    expect(await exposed()).toMatchObject({ source: 'reported', reportedAt: '2026-03-31T11:00:00.000Z', amount: usd('9.00') });
    // At a moment that the report does not reach yet.
    expect(await exposed('?at=2026-03-31T10:00:00Z')).toMatchObject({ source: 'daily-takings' });

    // A bag of the time between that nobody has opened yet holds what went in before it.
    await office.post('/v1/collections', { siteId: pier.site.id, happenedAt: '2026-03-10T18:00:00Z', counts: [], bagged: true }).expect(201);
    await reported('2026-03-10T17:00:00Z', '756');
    expect((await reviewer.get(`/v1/variance-flags/${flags[0]?.id ?? ''}`).expect(200)).body.machineSays).toMatchObject([{ from: '2026-03-10T17:00:00.000Z', amounts: [{ tender: 'coin', amount: usd('60.00') }] }]);
  });
});
