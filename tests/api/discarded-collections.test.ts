import type { Bags, CashTrail } from '#contracts/cash-trail';
import type { Collection } from '#contracts/collection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makePerson, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;

beforeAll(async () => {
  api = await startTestApi();
  owner = api.operator.as('owner');
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
});
afterAll(() => api?.close());

const at = (day: number) => `2026-03-${String(day).padStart(2, '0')}T12:00:00-05:00`;
const discard = (by: TestClient, id: string, reason = 'Entered for another site') => by.post(`/v1/collections/${id}/discard`, { reason });
const readCollection = async (by: TestClient, id: string) => (await by.get(`/v1/collections/${id}`).expect(200)).body as Collection;

/** A bar whose machine has a coin meter of a quarter a unit, at 1000 when first read. */
async function meteredBar() {
  const bar = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, bar.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '01000', mostPerHour: 60 })] });
  return { ...bar, meterId };
}

/** A visit by which everything hangs: a count of 250.00 with its reading, a slip, cash handed out, and a sealed bag. */
async function wholeVisit(bar: Awaited<ReturnType<typeof meteredBar>>, { day, seal }: { readonly day: number; readonly seal: string }): Promise<Made> {
  const more = { happenedAt: at(day), refunds: [{ machineTag: bar.machine['tag'], refundedOn: `2026-03-${String(day).padStart(2, '0')}`, amount: usd('2.00') }], cashHanded: [{ amount: usd('20.00') }] };
  const made = await makeCollection(collector, bar.site, [count(bar.machine, '250.00', '0.00', { readings: [{ meterId: bar.meterId, value: '02000' }] })], more);
  await collector.post(`/v1/collections/${made.id}/bags`, { bags: [{ number: 'B-1', seal }] }).expect(201);
  return made;
}

test('a mistaken collection is discarded whole: it stays legible, nothing of it counts, and the visit is entered anew', async () => {
  const bar = await meteredBar();
  const made = await wholeVisit(bar, { day: 10, seal: 'S-500' });
  const discarded = (await discard(office, made.id).expect(200)).body as Collection;
  const withdrawn = { counts: 1, fieldCounts: 0, readings: 1, readingTries: 0, refundSlips: 1, cashHanded: 1, bags: 1 };
  expect(discarded).toMatchObject({ state: 'discarded', discarded: { by: `user:${office.id}`, reason: 'Entered for another site', withoutSecondPerson: false, withdrawn } });
  expect(discarded.counts).toMatchObject([{ coin: usd('250.00') }]);
  expect(discarded.refundSlips).toMatchObject([{ amount: usd('2.00') }]);

  // The day has no cash and no missing bag of it, and the month nothing that waits.
  const trail = (await office.get('/v1/cash-trail?day=2026-03-10').expect(200)).body as CashTrail;
  expect([trail.rounds, trail.bags.map(({ number, finding, withdrawn: gone }) => [number, finding, gone])]).toEqual([[], [['B-1', null, true]]]);
  const agreements = await office.get('/v1/month-end/agreements?cycle=month&startsOn=2026-03-01').expect(200);
  expect((agreements.body as { items: { siteCode: string; state: string }[] }).items.filter(({ siteCode }) => siteCode === bar.site['code'])).toMatchObject([{ state: 'no-collections' }]);
  const readings = (await api.operator.as('auditor').get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200)).body.items as { collectionId: string | null; value: string | null; reason: string | null; id: string }[];
  expect(readings.filter(({ collectionId }) => collectionId === made.id)).toMatchObject([{ value: '02000', reason: null }, { value: null, reason: 'Entered for another site' }]);

  // The same moment, meter and seal again.
  const anew = await wholeVisit(bar, { day: 10, seal: 'S-500' });
  await office.post(`/v1/collections/${anew.id}/accept`).expect(200);
  // (2000 - 1000) quarters, as if the first had never been.
  const variances = (await api.operator.as('auditor').get(`/v1/collections/${anew.id}/variances`).expect(200)).body;
  expect(variances).toMatchObject({ items: [{ tender: 'coin', expected: usd('250.00'), counted: usd('250.00') }] });
});

test('what is discarded takes nothing any more, in the database neither, and what is accepted is not discarded', async () => {
  const bar = await meteredBar();
  const made = await wholeVisit(bar, { day: 11, seal: 'S-501' });
  const [bag] = ((await office.get('/v1/bags?day=2026-03-11').expect(200)).body as Bags).items;
  await discard(office, made.id).expect(200);
  const { counts, refundSlips } = await readCollection(office, made.id);
  expect((await discard(owner, made.id).expect(403)).body.code).toBe('not-allowed-in-state');
  for (const [path, body] of [
    ['accept', {}],
    ['counts', { counts: [count(bar.machine)] }],
    ['corrections', { countId: counts[0]?.id, coin: usd('1.00'), note: usd('0.00'), reason: 'Counted again' }],
    ['refund-slip-corrections', { refundSlipId: refundSlips[0]?.id, amount: usd('1.00'), reason: 'Read again' }],
  ] as const) expect([path, (await office.post(`/v1/collections/${made.id}/${path}`, body).expect(403)).body.code]).toEqual([path, 'not-allowed-in-state']);
  expect((await office.post(`/v1/collections/${made.id}/bags`, { bags: [{ number: 'B-2', seal: 'S-502' }] }).expect(409)).body.code).toBe('wrong-state');
  expect((await office.post(`/v1/bags/${bag?.id ?? ''}/steps`, { kind: 'received', seal: 'S-501' }).expect(409)).body.code).toBe('wrong-state');
  const late = { occasion: 'collection', collectionId: made.id, readings: [{ meterId: bar.meterId, value: '02001' }] };
  expect((await office.post(`/v1/machines/${bar.machine.id}/meter-readings`, late).expect(409)).body.code).toBe('wrong-state');
  const readings = (await api.operator.as('auditor').get(`/v1/machines/${bar.machine.id}/meter-readings`).expect(200)).body.items as { collectionId: string | null; value: string | null; id: string }[];
  const taken = readings.find(({ collectionId, value }) => collectionId === made.id && value === null);
  expect((await owner.post(`/v1/meter-readings/${taken?.id ?? ''}/corrections`, { value: '02000', reason: 'It was right' }).expect(409)).body.code).toBe('wrong-state');
  for (const text of ["UPDATE collection SET state = 'counted' WHERE id = $1", "UPDATE collection SET discarded_because = 'Other' WHERE id = $1"]) {
    await expect(api.operator.inBooks((tx) => tx.sql(text, [made.id]))).rejects.toThrow('cannot change');
  }
  const other = await wholeVisit(bar, { day: 12, seal: 'S-503' });
  await expect(api.operator.inBooks((tx) => tx.sql("UPDATE collection SET state = 'discarded', discarded_at = now(), discarded_by = 'user:x', discarded_because = 'y' WHERE id = $1", [other.id]))).rejects.toThrow('still count');
  await office.post(`/v1/collections/${other.id}/accept`).expect(200);
  expect((await discard(owner, other.id).expect(403)).body.code).toBe('not-allowed-in-state');
  await discard(office, (await makeCollection(office, bar.site, [], { happenedAt: at(13) })).id, '').expect(400);
});

test('who entered any of it does not discard it, and neither does who carried the cash', async () => {
  const bar = await meteredBar();
  const open = await makeCollection(collector, bar.site, [], { happenedAt: at(14) });
  await office.post(`/v1/collections/${open.id}/counts`, { counts: [count(bar.machine)] }).expect(200);
  expect((await discard(office, open.id).expect(403)).body.code).toBe('second-person-needed');
  expect((await discard(collector, open.id).expect(403)).body.code).toBe('not-allowed');
  expect((await discard(owner, open.id).expect(200)).body).toMatchObject({ state: 'discarded' });
});

test('a fund that was filled out of the boxes, and card takings of the visit, are taken back first', async () => {
  const bar = await meteredBar();
  const made = await makeCollection(collector, bar.site, [count(bar.machine)], { happenedAt: at(15) });
  const fund = (await office.post('/v1/change-funds', { code: 'CHANGER-7', kind: 'changer', siteId: bar.site.id }).expect(201)).body as Made;
  const move = (await office.post('/v1/cash-moves', { kind: 'fund-filled', movedOn: '2026-03-15', amount: usd('10.00'), fundId: fund.id, collectionId: made.id }).expect(201)).body as Made;
  const refusal = (await discard(owner, made.id).expect(409)).body as { code: string; detail: string };
  expect(refusal).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining('CHANGER-7') });
  await office.post(`/v1/cash-moves/${move.id}/taking-back`, { reason: 'Filled at another site' }).expect(200);
  await discard(owner, made.id).expect(200);
});

test('discarding opens nothing that was sealed, and who read the meters of it does not count blind afterwards', async () => {
  const bar = await meteredBar();
  const before = await makeAcceptedCollection(office, bar.site, [count(bar.machine, '100.00', '0.00', { readings: [{ meterId: bar.meterId, value: '01400' }] })], { happenedAt: at(5) });
  const orla = await makePerson(office);
  const made = await makeCollection(collector, bar.site, [], { happenedAt: at(16), collectedBy: orla.id });
  const reading = { occasion: 'collection', collectionId: made.id, readings: [{ meterId: bar.meterId, value: '02000' }] };
  await office.post(`/v1/machines/${bar.machine.id}/meter-readings`, reading).expect(201);
  const sealed = async () => [(await collector.get(`/v1/collections/${before.id}`)).status, (await office.get(`/v1/machines/${bar.machine.id}/variances`)).status];
  expect(await sealed()).toEqual([403, 403]);
  await discard(owner, made.id).expect(200);
  // The collector counts by role, the bookkeeper read the meters: both are kept from it until the box is counted anew.
  expect(await sealed()).toEqual([403, 403]);
  const anew = await makeCollection(collector, bar.site, [], { happenedAt: at(17) });
  const counted = (await office.post(`/v1/collections/${anew.id}/counts`, { counts: [count(bar.machine, '150.00', '0.00')] }).expect(200)).body as Collection;
  expect(counted.blind).toBe(false);
  expect(await sealed()).toEqual([403, 403]);
  await owner.post(`/v1/collections/${anew.id}/accept`).expect(200);
  expect(await sealed()).toEqual([200, 200]);
});

test('a value that was sent back for a collection that was discarded since says nothing of the next one', async () => {
  const bar = await meteredBar();
  const open = await makeCollection(collector, bar.site, [], { happenedAt: at(18) });
  const low = { counts: [count(bar.machine, '10.00', '0.00', { readings: [{ meterId: bar.meterId, value: '00900' }] })] };
  expect(errorsOf(await collector.post(`/v1/collections/${open.id}/counts`, low).expect(422))).toEqual(['#/counts/0/readings/0/value read-again']);
  expect((await discard(office, open.id).expect(200)).body).toMatchObject({ discarded: { withdrawn: { readingTries: 1 } } });
  const anew = await makeCollection(collector, bar.site, [], { happenedAt: at(18) });
  expect(errorsOf(await collector.post(`/v1/collections/${anew.id}/counts`, low).expect(422))).toEqual(['#/counts/0/readings/0/value read-again']);
});

test('whoever collected does not discard, though somebody else entered it; what the receipts say of the boxes is no count', async () => {
  const bar = await makeRunningSite(office);
  const [emptied, counted] = [await makePerson(owner, { name: 'Tamsin Rook' }), await makePerson(owner, { name: 'Ivo Marsh' })];
  const visit = { siteId: bar.site.id, happenedAt: at(20), collectedBy: emptied.id, bagged: true, counts: [], cashHanded: [{ amount: usd('20.00') }] };
  const made = (await collector.post('/v1/collections', visit).expect(201)).body as Made;
  await collector.post(`/v1/collections/${made.id}/field-counts`, { countedBy: counted.id, counts: [count(bar.machine, '100.00', '0.00')] }).expect(200);
  await collector.post(`/v1/collections/${made.id}/counts`, { counts: [count(bar.machine, '80.00', '0.00')] }).expect(200);
  for (const personId of [emptied.id, counted.id]) {
    await bindToPerson(owner, { accountId: office.id, role: 'bookkeeper', personId });
    expect((await discard(office, made.id).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  }
  const { discarded } = (await discard(owner, made.id).expect(200)).body as Collection;
  expect(discarded).toMatchObject({ withdrawn: { counts: 1, fieldCounts: 1, cashHanded: 1 } });
});
