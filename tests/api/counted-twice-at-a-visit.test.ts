import { randomUUID } from 'node:crypto';
import type { Bags, CashTrail } from '#contracts/cash-trail';
import type { Collection } from '#contracts/collection';
import type { FieldCounts } from '#contracts/field-count';
import type { SiteBoxes } from '#contracts/round';
import type { CollectionVariances } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, usd } from '#tests/support/collecting';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard } from '#tests/support/metering';
import { errorsOf, makeMachine, makePerson, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

// What a visit says beside its counts: boxes counted at the machine and bagged, last boxes, exchanged boxes, slips paid out of them.

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  owner = api.operator.as('owner');
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
});
afterAll(() => api?.close());

const at = (day: string): string => `${day}T12:00:00-05:00`;
const enter = (visit: object, by: Made, client = office) => client.post('/v1/paper-visits', { collectedBy: by.id, visit });
const bagOf = (machine: Made, number: string, more: object = {}) => ({ machineTag: machine['tag'], number, seal: `S-${number}`, ...more });

test('a box counted at the machine and bagged is counted once more in the room, and who lost what is told apart', async () => {
  const day = '2026-03-10';
  const bar = await makeRunningSite(office);
  const other = await makeMachine(office);
  await makePlacement(office, { machineId: other.id, siteId: bar.site.id });
  const { meterId } = await fitBoard(office, bar.machine.id, { fittedAt: '2026-03-01T12:00:00Z' });
  const orla = await makePerson(owner, { name: 'Orla Quill' });
  const visit = { siteId: bar.site.id, happenedAt: at(day), readings: [{ machineId: bar.machine.id, meterId, value: '2000' }] };
  const bags = [bagOf(bar.machine, 'T-1'), bagOf(other, 'T-2')];

  expect(errorsOf(await enter({ ...visit, counts: [count(other, '10.00', '0.00')], bags: bags.slice(0, 1) }, orla).expect(422))).toEqual(['#/visit/counts/0/machineTag in-no-bag']);
  const beside = count(bar.machine, '500.00', '0.00', { badCoin: usd('1.00'), houseCoin: usd('2.00') });
  expect(errorsOf(await enter({ ...visit, counts: [beside], bags }, orla).expect(422))).toEqual(['#/visit/counts/0/houseCoin counted-in-room', '#/visit/counts/0/badCoin counted-in-room']);
  // By whichever name the box goes.
  const { id: placementId } = await makePlacement(office, { machineId: (await makeMachine(office)).id, siteId: bar.site.id });
  expect(errorsOf(await enter({ ...visit, counts: [{ placementId, coin: usd('10.00'), note: usd('0.00') }], bags }, orla).expect(422))).toEqual(['#/visit/counts/0/placementId in-no-bag']);
  // What meters imply that are not recorded comes with the bag.
  expect(errorsOf(await enter({ ...visit, counts: [count(other, '10.00', '0.00', { meteredAmount: usd('12.00') })], bags }, orla).expect(422))).toEqual(['#/visit/counts/0/meteredAmount metered-with-bag']);
  const { id, state } = (await enter({ ...visit, counts: [count(bar.machine, '500.00', '0.00')], bags }, orla).expect(201)).body as Collection;
  expect(state).toBe('open');

  // The room is told of no figure before its own count is accepted.
  const asked = [`/v1/collections/${id}`, `/v1/collections/${id}/bags`, `/v1/bags?day=${day}`, `/v1/sites/${bar.site.id}/boxes?at=${encodeURIComponent('2026-03-10T17:00:00Z')}`, '/v1/collections?state=open'];
  for (const path of asked) expect(JSON.stringify((await collector.get(path).expect(200)).body)).not.toContain('500.00');
  await owner.get(`/v1/collections/${id}/field-counts`).expect(403);
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '450.00', '0.00'), count(other, '70.00', '0.00')] }).expect(200);
  await owner.get(`/v1/collections/${id}/field-counts`).expect(403);
  await office.post(`/v1/collections/${id}/accept`).expect(200);

  // Whoever read the meters counted: the first count is not blind. One box of two was counted twice, so the round has no gap of its own yet.
  expect((await owner.get(`/v1/collections/${id}/field-counts`).expect(200)).body).toMatchObject({ items: [{ coin: usd('500.00'), countedBy: orla.id, blind: false }], boxes: [{ roomLess: { coin: usd('50.00') } }] });
  const { items } = (await api.operator.as('reviewer').get(`/v1/collections/${id}/variances`).expect(200)).body as CollectionVariances;
  expect(items.find(({ machineTag }) => machineTag === bar.machine['tag'])).toMatchObject({ counted: usd('450.00'), fieldCount: { counted: usd('500.00') } });
});

test('where every box was counted twice, what lacks in the bags is a gap of the way between', async () => {
  const day = '2026-03-17';
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const { id } = (await enter({ siteId: bar.site.id, happenedAt: at(day), counts: [count(bar.machine, '500.00', '0.00')], bags: [bagOf(bar.machine, 'T-3')] }, orla).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '450.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  const trail = (await office.get(`/v1/cash-trail?day=${day}`).expect(200)).body as CashTrail;
  expect(trail.rounds).toMatchObject([{ removed: usd('500.00'), found: usd('450.00'), toHandIn: usd('0.00'), handedIn: null, gaps: [{ kind: 'bags', collectionId: id, amount: usd('-50.00'), holder: 'collector' }] }]);
});

test('a count at the machine is corrected beside the first figure, by somebody who had no hand in it', async () => {
  const day = '2026-03-18';
  const bar = await makeRunningSite(office);
  const [orla, wren] = [await makePerson(owner), await makePerson(owner)];
  const cashHanded = [{ amount: usd('20.00'), acknowledgedBy: 'Bar staff' }];
  const { id } = (await enter({ siteId: bar.site.id, happenedAt: at(day), counts: [count(bar.machine, '500.00', '30.00')], bags: [bagOf(bar.machine, 'T-5')], cashHanded }, orla).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '430.00', '30.00')] }).expect(200);
  const correct = (fieldCountId: string | undefined, more: object = {}, by = owner) => by.post(`/v1/collections/${id}/field-count-corrections`, { fieldCountId, coin: usd('450.00'), note: usd('30.00'), reason: 'A five was written as a four', ...more });
  // Nobody is shown it before the room's count is accepted, so nobody corrects it before.
  await correct(id).expect(403);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  const counted = async () => (await owner.get(`/v1/collections/${id}/field-counts`).expect(200)).body as FieldCounts;
  const [first] = (await counted()).items;
  expect(first).toMatchObject({ coin: usd('500.00'), replacesId: null, replacedById: null });
  expect(errorsOf(await correct(wren.id).expect(422))).toEqual(['#/fieldCountId unknown']);
  expect(errorsOf(await correct(first?.id, { coin: { amount: '1.00', currency: 'EUR' } }).expect(422))).toEqual(['#/coin/currency other-currency']);
  expect((await correct(first?.id, {}, office).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await collector.post(`/v1/collections/${id}/field-count-corrections`, {}).expect(403);
  const { items, boxes } = (await correct(first?.id).expect(200)).body as FieldCounts;
  expect(items).toMatchObject([{ id: first?.id, coin: usd('500.00'), replacedById: items[1]?.id }, { coin: usd('450.00'), replacesId: first?.id, reason: 'A five was written as a four', countedBy: orla.id, withoutSecondPerson: false }]);
  expect(boxes).toMatchObject([{ roomLess: { coin: usd('0.00'), note: usd('0.00') } }]);
  expect((await correct(first?.id).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  // What lacks on the way is what lacks against the count that stands, which includes what was handed over.
  const trail = (await office.get(`/v1/cash-trail?day=${day}`).expect(200)).body as CashTrail;
  expect(trail.rounds).toMatchObject([{ removed: usd('480.00'), handed: usd('20.00'), found: usd('460.00'), difference: usd('0.00'), gaps: [] }]);
});

test('the seal of a bag that was read wrong is corrected by a second person, and is free for the bag that has it', async () => {
  const day = '2026-03-19';
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const { id } = (await enter({ siteId: bar.site.id, happenedAt: at(day), bags: [bagOf(bar.machine, 'T-6', { seal: 'S-808' })] }, orla).expect(201)).body as Made;
  const listed = async () => ((await owner.get(`/v1/bags?day=${day}`).expect(200)).body as Bags).items;
  const [bag] = await listed();
  const correct = (body: object, by = owner) => by.post(`/v1/bags/${bag?.id ?? ''}/corrections`, { what: 'filled', seal: 'S-880', reason: 'An eight read for a nought', ...body });
  expect((await correct({}, office).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect((await correct({}, collector).expect(403)).body).toMatchObject({ code: 'not-allowed' });
  expect(errorsOf(await correct({ seal: 'S-808' }).expect(422))).toEqual(['#/seal unchanged']);
  expect(errorsOf(await correct({ what: 'opened', number: 'T-9' }).expect(400))).toEqual(['#/number not-allowed']);
  expect((await correct({ what: 'received' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  await owner.post(`/v1/bags/${bag?.id ?? ''}/steps`, { kind: 'received', seal: 'S-880' }).expect(201);
  expect((await listed())[0]).toMatchObject({ finding: 'other-seal-when-received', holder: 'collector' });
  // A third one corrects both: what was put on, and nothing of what the owner found.
  const reader = await api.operator.newMember('bookkeeper');
  expect((await correct({ number: 'T-60' }, reader).expect(201)).body).toMatchObject({
    number: 'T-60', seal: 'S-880', finding: 'not-opened',
    corrections: [{ what: 'filled', was: { number: 'T-6', seal: 'S-808' }, number: 'T-60', seal: 'S-880', reason: 'An eight read for a nought', withoutSecondPerson: false }],
  });
  expect((await correct({ what: 'received', seal: 'S-881' }, owner).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect((await correct({ what: 'received', seal: 'S-881' }, reader).expect(201)).body).toMatchObject({ received: { seal: 'S-881' }, finding: 'other-seal-when-received', corrections: [{}, { what: 'received', was: { number: null, seal: 'S-880' }, seal: 'S-881' }] });

  // A seal serves once, as it is known now.
  const other = (seal: string, on: string) => enter({ siteId: bar.site.id, happenedAt: at(on), bags: [bagOf(bar.machine, `T-${on}`, { seal })] }, orla);
  expect(errorsOf(await other('S-880', '2026-03-20').expect(409))).toEqual(['#/visit/bags seal-used']);
  await other('S-808', '2026-03-20').expect(201);
  expect(errorsOf(await correct({ seal: 'S-808' }).expect(409))).toEqual(['#/seal seal-used']);
  expect((await owner.get(`/v1/collections/${id}/bags`).expect(200)).body).toMatchObject({ items: [{ number: 'T-60', seal: 'S-880' }] });
});

test('who read the meters of a visit and bagged its boxes did not count in the room: a stranger counts there blind', async () => {
  const bar = await makeRunningSite(office);
  await fitBoard(office, bar.machine.id, { fittedAt: '2026-03-01T12:00:00Z' });
  const phone = await api.operator.newMember('collector');
  await bindToPerson(owner, { accountId: phone.id, role: 'collector', personId: (await makePerson(owner)).id });
  const device = (await phone.post('/v1/devices', { name: 'Phone 6' }).expect(201)).body as { id: string; secret: string };
  const [visitId, happenedAt] = [randomUUID(), at('2026-03-21')];
  const visit = { siteId: bar.site.id, happenedAt, readings: [{ machineId: bar.machine.id, meterId: bar.machine.id, value: '2000' }] };
  expect((await phone.post('/v1/visits', { id: visitId, deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit }).expect(201)).body).toMatchObject({ outcome: 'quarantined' });
  const right = { siteId: bar.site.id, happenedAt, counts: [count(bar.machine, '50.00', '0.00')], bags: [bagOf(bar.machine, 'T-8')] };
  const { collectionId: id } = (await owner.post(`/v1/visits/${visitId}/enter`, { visit: right, reason: 'The meter was named wrongly' }).expect(200)).body as { collectionId: string };
  expect((await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '50.00', '0.00')] }).expect(200)).body).toMatchObject({ blind: true });
});

test('why a count at a machine and a bag were corrected is erased with the name of who collected', async () => {
  const bar = await makeRunningSite(office);
  const gone = await makePerson(owner, { name: 'Sunniva Brackett', startedOn: '2026-01-01' });
  const { id } = (await enter({ siteId: bar.site.id, happenedAt: at('2026-03-22'), counts: [count(bar.machine, '50.00', '0.00')], bags: [bagOf(bar.machine, 'T-10')] }, gone).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '40.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  const [counted] = ((await owner.get(`/v1/collections/${id}/field-counts`).expect(200)).body as FieldCounts).items;
  const [bag] = ((await owner.get(`/v1/collections/${id}/bags`).expect(200)).body as Bags).items;
  await owner.post(`/v1/collections/${id}/field-count-corrections`, { fieldCountId: counted?.id, coin: usd('40.00'), note: usd('0.00'), reason: 'Sunniva Brackett wrote a five' }).expect(200);
  await owner.post(`/v1/bags/${bag?.id ?? ''}/corrections`, { what: 'filled', seal: 'S-90', reason: 'Sunniva Brackett read a nought' }).expect(201);
  const { items } = (await owner.get(`/v1/people/${gone.id}/texts`).expect(200)).body as { items: { table: string; tookPart: boolean }[] };
  expect(items.filter(({ tookPart }) => tookPart).map(({ table }) => table)).toEqual(expect.arrayContaining(['collection_bag_correction', 'field_count']));
});

test('who counted boxes at the machines, entered that or was shown it, does not count them blind in the room', async () => {
  const phone = await api.operator.newMember('collector');
  const wren = await makePerson(owner);
  await bindToPerson(owner, { accountId: phone.id, role: 'collector', personId: wren.id });
  const device = (await phone.post('/v1/devices', { name: 'Phone 8' }).expect(201)).body as { id: string; secret: string };
  const visitOf = (bar: Awaited<ReturnType<typeof makeRunningSite>>, day: string, number: string) => ({ siteId: bar.site.id, happenedAt: at(day), counts: [count(bar.machine, '50.00', '0.00')], bags: [bagOf(bar.machine, number)] });
  const inRoom = async (client: TestClient, id: string, bar: Awaited<ReturnType<typeof makeRunningSite>>) => ((await client.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '50.00', '0.00')] }).expect(200)).body as Collection).blind;

  const [first, second, third, fourth] = [await makeRunningSite(office), await makeRunningSite(office), await makeRunningSite(office), await makeRunningSite(office)];
  // By the account of who counted there, whoever entered it; by who entered it; and by neither.
  const counted = async (bar: typeof first, number: string) => ((await enter(visitOf(bar, '2026-03-23', number), wren).expect(201)).body as Made).id;
  expect(await inRoom(phone, await counted(first, 'T-21'), first)).toBe(false);
  expect(await inRoom(office, await counted(second, 'T-22'), second)).toBe(false);
  expect(await inRoom(collector, await counted(third, 'T-23'), third)).toBe(true);

  // A visit that was kept aside, with counts and no readings, is entered as bags alone: who made it knows what lay in the boxes all the same.
  const visitId = randomUUID();
  const sent = { ...visitOf(fourth, '2026-03-23', 'T-24'), bags: [bagOf(second.machine, 'T-24')] };
  expect((await phone.post('/v1/visits', { id: visitId, deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit: sent }).expect(201)).body).toMatchObject({ outcome: 'quarantined' });
  const right = { siteId: fourth.site.id, happenedAt: at('2026-03-23'), bags: [bagOf(fourth.machine, 'T-25')] };
  const { collectionId } = (await owner.post(`/v1/visits/${visitId}/enter`, { visit: right, reason: 'The bag was of another machine' }).expect(200)).body as { collectionId: string };
  expect(await inRoom(phone, collectionId, fourth)).toBe(false);

  // So does who counted it whole there, and who entered that, where the visit was discarded and is entered anew with bags.
  const reader = await api.operator.newMember('bookkeeper');
  for (const [by, number, isBlind] of [[phone, 'T-31', false], [reader, 'T-32', false], [collector, 'T-33', true]] as const) {
    const bar = await makeRunningSite(office);
    const { bags: [bag], ...whole } = visitOf(bar, '2026-03-23', number);
    const { id } = (await enter(whole, wren, reader).expect(201)).body as Made;
    await owner.post(`/v1/collections/${id}/discard`, { reason: 'It went into bags' }).expect(200);
    const anew = (await enter({ siteId: bar.site.id, happenedAt: at('2026-03-23'), bags: [bag] }, wren).expect(201)).body as Made;
    expect([number, await inRoom(by, anew.id, bar)]).toEqual([number, isBlind]);
  }
});

test('the last box of a machine belongs to where it stood, counted there or in the room', async () => {
  const day = '2026-03-24';
  const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
  const orla = await makePerson(owner);
  const removal = { removal: true };
  const visit = { siteId: from.site.id, happenedAt: at(day) };
  const tag = from.machine['tag'];
  // Before the office ends its placement the visit is refused, and says why.
  expect(errorsOf(await enter({ ...visit, counts: [count(from.machine, '40.00', '0.00', removal)] }, orla).expect(422))).toEqual(['#/visit/counts/0/machineTag no-removal-that-day']);
  expect(errorsOf(await enter({ ...visit, bags: [bagOf(from.machine, 'T-4', removal)] }, orla).expect(422))).toEqual(['#/visit/bags/0/machineTag no-removal-that-day']);
  expect(errorsOf(await enter({ ...visit, bags: [{ ...bagOf(from.machine, 'T-4', removal), machineTag: null }] }, orla).expect(400))).toEqual(['#/visit/bags one-of-two']);
  await office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: day }).expect(201);
  const boxesAt = async (siteId: string, on: string) => ((await office.get(`/v1/sites/${siteId}/boxes?at=${encodeURIComponent(`${on}T17:00:00Z`)}`).expect(200)).body as SiteBoxes).machines.map((machine) => [machine.tag, machine.leaves]);
  expect([await boxesAt(from.site.id, '2026-03-23'), await boxesAt(from.site.id, day), await boxesAt(from.site.id, '2026-03-25')]).toEqual([[[tag, false]], [[tag, true]], []]);
  expect(await boxesAt(to.site.id, day)).toEqual(expect.arrayContaining([[tag, false]]));

  const { id } = (await enter({ ...visit, bags: [bagOf(from.machine, 'T-4', removal)] }, orla).expect(201)).body as Made;
  const counted = (await collector.post(`/v1/collections/${id}/counts`, { counts: [count(from.machine, '40.00', '0.00', removal)] }).expect(200)).body as Collection;
  expect(counted.counts.filter(({ part }) => part > 0)).toMatchObject([{ placementId: from.placement.id, removal: true, coin: usd('40.00') }]);
});

test('a slip paid out of the box is no credit of the site, and what is handed in falls by it; boxes that were exchanged, and so not counted there, took no key to them', async () => {
  const day = '2026-03-31';
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const slip = { machineTag: bar.machine['tag'], refundedOn: day, amount: usd('3.00') };
  const visit = { siteId: bar.site.id, happenedAt: at(day), counts: [count(bar.machine, '100.00', '0.00')], refunds: [{ ...slip, paidBy: 'operator' }, { ...slip, refundedOn: '2026-03-30', amount: usd('2.00'), paidBy: 'site' }] };
  expect(errorsOf(await enter({ ...visit, boxesExchanged: true }, orla).expect(400))).toEqual(['#/visit/boxesExchanged one-of-two']);
  const { id } = (await enter(visit, orla).expect(201)).body as Made;
  await owner.post(`/v1/collections/${id}/accept`).expect(200);
  const trail = (await office.get(`/v1/cash-trail?day=${day}`).expect(200)).body as CashTrail;
  expect(trail.rounds).toMatchObject([{ removed: usd('100.00'), refunds: usd('3.00'), toBring: usd('97.00'), toHandIn: usd('97.00'), gaps: [{ kind: 'handed-in', amount: usd('-97.00') }] }]);
  expect((await owner.get(`/v1/collections/${id}/key-check`).expect(200)).body).toMatchObject({ boxesExchanged: false });
  const exchanged = { siteId: bar.site.id, happenedAt: at('2026-04-01'), boxesExchanged: true, bags: [bagOf(bar.machine, 'T-9')] };
  const bagged = (await enter(exchanged, orla).expect(201)).body as Made;
  expect((await owner.get(`/v1/collections/${bagged.id}/key-check`).expect(200)).body).toMatchObject({ boxesExchanged: true, result: 'not-needed' });
});
