import { randomUUID } from 'node:crypto';
import type { CashMove, ChangeFund } from '#contracts/cash-trail';
import type { Collection } from '#contracts/collection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { cashTrailAs } from '#tests/support/cash-trail';
import { count, usd } from '#tests/support/collecting';
import { bindToPerson } from '#tests/support/keys';
import { errorsOf, makeMachine, makePerson, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

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

const { trailOf, move, balances } = cashTrailAs(() => office);

test('boxes counted whole at the machine are with the collector, in the books as well, until the room says what it received', async () => {
  const day = '2026-03-24';
  const bar = await makeRunningSite(office);
  const wren = await makePerson(owner, { name: 'Wren Hale' });
  const changer = (await office.post('/v1/change-funds', { code: 'CHANGER-27', kind: 'changer', siteId: bar.site.id }).expect(201)).body as ChangeFund;
  const visit = { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, counts: [count(bar.machine, '530.00', '0.00')], cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Bar staff' }] };
  const { id } = (await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit }).expect(201)).body as Made;
  await move({ kind: 'fund-filled', movedOn: day, amount: usd('10.00'), fundId: changer.id, collectionId: id });
  const before = await balances('2026-03-26');
  const handedIn = (amount: string, by = office) => by.post('/v1/cash-moves', { kind: 'handed-in', movedOn: '2026-03-25', countedOn: day, amount: usd(amount), collectorId: wren.id });
  // Before the visit is accepted nothing is compared, so that nobody learns what was counted.
  const early = (await handedIn('999.00').expect(201)).body as CashMove;
  expect((await trailOf(day)).rounds).toMatchObject([{ removed: usd('0.00'), toHandIn: usd('0.00'), handedIn: usd('999.00'), waiting: 1, gaps: [] }]);
  await office.post(`/v1/cash-moves/${early.id}/taking-back`, { reason: 'The sum of another day.' }).expect(200);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  const shown = { collectorName: 'Wren Hale', removed: usd('530.00'), toBring: usd('500.00'), found: usd('0.00'), toHandIn: usd('500.00'), notCountedAtMachine: 0 };
  expect((await trailOf(day)).rounds).toMatchObject([{ ...shown, handedIn: null, gaps: [{ kind: 'handed-in', collectionId: null, amount: usd('-500.00'), holder: 'collector' }] }]);

  expect(errorsOf(await office.post('/v1/cash-moves', { kind: 'handed-in', movedOn: day, amount: usd('1.00') }).expect(400))).toEqual(['#/collectorId missing']);
  await handedIn('450.00').expect(201);
  await move({ kind: 'paid-in', movedOn: '2026-03-25', countedOn: day, amount: usd('450.00') });
  const trail = await trailOf(day);
  expect(trail.rounds).toMatchObject([{ ...shown, handedIn: usd('450.00'), difference: usd('-50.00'), gaps: [{ kind: 'handed-in', amount: usd('-50.00'), holder: 'collector' }] }]);
  expect(trail.rooms).toMatchObject([{ found: usd('0.00'), handedIn: usd('450.00'), toPayIn: usd('450.00'), paidIn: usd('450.00'), gap: null }]);
  const after = await balances('2026-03-26');
  const grown = (account: string) => (Number(after[account] ?? '0') - Number(before[account] ?? '0')).toFixed(2);
  const withWren = Object.keys(after).filter((account) => account.startsWith('assets:cash:') && after[account] === '50.00');
  expect([grown('assets:cash:counting room'), grown('assets:bank'), withWren]).toEqual(['0.00', '450.00', [`assets:cash:collector:${String(wren['code'])}`]]);

  // A correction of the count is the collector's as well.
  const { counts } = (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
  await owner.post(`/v1/collections/${id}/corrections`, { countId: counts[0]?.id, coin: usd('480.00'), note: usd('0.00'), reason: 'Fifty were written down twice' }).expect(200);
  expect((await trailOf(day)).rounds).toMatchObject([{ toHandIn: usd('450.00'), gaps: [] }]);
  expect((await balances('2026-06-02'))[withWren[0] ?? '']).toBe('0.00');
});

test('of a visit with one box counted at its machine and another one in the room, the cash of each is where it was counted', async () => {
  const day = '2026-04-07';
  const bar = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: bar.site.id });
  const wren = await makePerson(owner, { name: 'Wren Ashdown' });
  const tubes = (await office.post('/v1/change-funds', { code: 'TUBES-31', kind: 'tubes', siteId: bar.site.id, machineId: second.id }).expect(201)).body as ChangeFund;
  const visit = {
    siteId: bar.site.id,
    happenedAt: `${day}T12:00:00-05:00`,
    counts: [count(bar.machine, '300.00', '0.00')],
    refunds: [{ machineTag: second['tag'], refundedOn: day, amount: usd('5.00'), paidBy: 'operator' }],
    cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Bar staff' }],
  };
  const { id } = (await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit }).expect(201)).body as Made;
  await office.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-71', seal: 'S-71' }] }).expect(201);
  const before = await balances('2026-06-02');
  const counted = (await office.post(`/v1/collections/${id}/counts`, { counts: [count(second, '100.00', '0.00')] }).expect(200)).body as Collection;
  expect(counted.counts.map(({ machineTag, cashWith }) => [machineTag, cashWith]).sort()).toEqual([[bar.machine['tag'], 'collector'], [second['tag'], 'counting-room']].sort());
  await move({ kind: 'fund-filled', movedOn: day, amount: usd('10.00'), fundId: tubes.id, collectionId: id });
  await owner.post(`/v1/collections/${id}/accept`).expect(200);

  const walked = { removed: usd('400.00'), handed: usd('20.00'), refunds: usd('5.00'), filled: usd('10.00'), toBring: usd('365.00'), found: usd('85.00'), toHandIn: usd('280.00'), notCountedAtMachine: 1 };
  expect((await trailOf(day)).rounds).toMatchObject([{ ...walked, handedIn: null, gaps: [{ kind: 'handed-in', amount: usd('-280.00'), holder: 'collector' }] }]);
  await move({ kind: 'handed-in', movedOn: day, amount: usd('280.00'), collectorId: wren.id });
  await move({ kind: 'paid-in', movedOn: day, amount: usd('365.00') });
  const trail = await trailOf(day);
  expect(trail.rounds).toMatchObject([{ ...walked, handedIn: usd('280.00'), difference: usd('0.00'), gaps: [] }]);
  expect(trail.rooms).toMatchObject([{ found: usd('85.00'), handedIn: usd('280.00'), toPayIn: usd('365.00'), paidIn: usd('365.00'), gap: null }]);
  const withWren = `assets:cash:collector:${String(wren['code'])}`;
  const grown = async () => {
    const after = await balances('2026-06-02');
    return ['assets:cash:counting room', withWren, 'assets:bank'].map((account) => (Number(after[account] ?? '0') - Number(before[account] ?? '0')).toFixed(2));
  };
  expect(await grown()).toEqual(['0.00', '0.00', '365.00']);

  // What is corrected of a box changes the cash where that box was counted, and so does what was given out of it.
  const { counts, refundSlips, cashHanded } = (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
  const countOf = (tag: unknown) => counts.find(({ machineTag }) => machineTag === tag)?.id;
  const correct = (what: string, body: object) => owner.post(`/v1/collections/${id}/${what}`, { reason: 'It was written down wrongly', ...body }).expect(200);
  await correct('corrections', { countId: countOf(second['tag']), coin: usd('90.00'), note: usd('0.00') });
  expect(await grown()).toEqual(['-10.00', '0.00', '365.00']);
  await correct('corrections', { countId: countOf(bar.machine['tag']), coin: usd('296.00'), note: usd('0.00') });
  await correct('refund-slip-corrections', { refundSlipId: refundSlips[0]?.id, amount: usd('3.00') });
  expect(await grown()).toEqual(['-8.00', '-4.00', '365.00']);
  await correct('cash-handed-corrections', { cashHandedId: cashHanded[0]?.id, amount: usd('15.00'), machineTag: second['tag'] });
  expect(await grown()).toEqual(['-23.00', '16.00', '365.00']);
  const [moved] = (await trailOf(day)).rounds;
  expect(moved).toMatchObject({ found: usd('62.00'), toHandIn: usd('296.00'), difference: usd('-16.00'), gaps: [{ kind: 'handed-in', amount: usd('-16.00') }] });
});

test('what is filled out of a box that waits in its bag is the room’s cash, before it is counted and after', async () => {
  const day = '2026-04-16';
  const bar = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: bar.site.id });
  const wren = await makePerson(owner);
  const fund = async (code: string, more: object = {}) => (await office.post('/v1/change-funds', { code, kind: 'tubes', siteId: bar.site.id, ...more }).expect(201)).body as ChangeFund;
  const [tubes, own, changer] = [await fund('TUBES-41', { machineId: second.id }), await fund('TUBES-42', { machineId: bar.machine.id }), await fund('CHANGER-43', { kind: 'changer' })];
  const visit = { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, counts: [count(bar.machine, '300.00', '0.00')] };
  const { id } = (await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit }).expect(201)).body as Made;
  await office.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-81', seal: 'S-81' }] }).expect(201);
  const before = await balances('2026-06-02');
  const grown = async () => {
    const after = await balances('2026-06-02');
    return ['assets:cash:counting room', `assets:cash:collector:${String(wren['code'])}`].map((account) => (Number(after[account] ?? '0') - Number(before[account] ?? '0')).toFixed(2));
  };
  // What is told before anything is booked is what is booked then: a box that waits in its bag is the room's, one that nobody noted the collector's.
  const { cashOutOf } = (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
  expect(cashOutOf).toHaveLength(3);
  expect(cashOutOf).toEqual(expect.arrayContaining([
    { machineTag: bar.machine['tag'], receipts: 'collector', fillings: 'collector' },
    { machineTag: second['tag'], receipts: 'collector', fillings: 'counting-room' },
    { machineTag: null, receipts: 'collector', fillings: 'collector' },
  ]));
  for (const [fundId, amount] of [[tubes.id, '10.00'], [own.id, '4.00'], [changer.id, '3.00']] as const) await move({ kind: 'fund-filled', movedOn: day, amount: usd(amount), fundId, collectionId: id });
  expect(await grown()).toEqual(['-10.00', '-7.00']);
  await office.post(`/v1/collections/${id}/counts`, { counts: [count(second, '100.00', '0.00')] }).expect(200);
  await owner.post(`/v1/collections/${id}/accept`).expect(200);
  expect(await grown()).toEqual(['90.00', '293.00']);
  expect((await trailOf(day)).rounds).toMatchObject([{ filled: usd('17.00'), found: usd('90.00'), toHandIn: usd('293.00') }]);
});

test('a change fund of one machine that was filled out of the box of another one is charged to that box', async () => {
  const day = '2026-04-18';
  const bar = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: bar.site.id });
  const [tag, otherTag] = [bar.machine['tag'] as string, second['tag'] as string];
  const wren = await makePerson(owner);
  const tubes = (await office.post('/v1/change-funds', { code: 'TUBES-51', kind: 'tubes', siteId: bar.site.id, machineId: bar.machine.id }).expect(201)).body as ChangeFund;
  const visit = {
    siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, counts: [count(bar.machine, '100.00', '0.00'), count(second, '100.00', '0.00')],
    bags: [{ machineTag: tag, number: 'B-95', seal: 'S-95' }, { machineTag: otherTag, number: 'B-96', seal: 'S-96' }],
  };
  const { id } = (await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit }).expect(201)).body as Made;
  const filled = { kind: 'fund-filled', movedOn: day, amount: usd('20.00'), fundId: tubes.id, collectionId: id };
  // The second box gave 20.00, so the room finds 80.00 in its bag.
  await office.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '100.00', '0.00'), count(second, '80.00', '0.00')] }).expect(200);
  const boxes = async () => {
    const { counts } = (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
    const standing = counts.filter(({ replacedById }) => replacedById === null);
    return [tag, otherTag].map((each) => standing.filter(({ machineTag }) => machineTag === each).reduce((sum, { coin }) => sum + Number(coin.amount), 0));
  };
  const move = async (body: object) => (await office.post('/v1/cash-moves', { ...filled, ...body }).expect(201)).body as CashMove;
  const named = await move({ machineTag: otherTag });
  expect(named.machineTag).toBe(otherTag);
  expect(await boxes()).toEqual([100, 100]);
  const takeBack = (taken: CashMove) => office.post(`/v1/cash-moves/${taken.id}/taking-back`, { reason: 'It came out of the other box.' }).expect(200);
  await takeBack(named);
  expect(await boxes()).toEqual([100, 80]);
  // Left out, it is the box of the fund's own machine; where nobody noted it, what lacks says whose it was.
  const own = await move({});
  expect([own.machineTag, await boxes()]).toEqual([tag, [120, 80]]);
  await takeBack(own);
  expect([(await move({ machineTag: null })).machineTag, await boxes()]).toEqual([null, [100, 100]]);

  const wrong = async (body: object) => errorsOf(await office.post('/v1/cash-moves', { ...filled, ...body }));
  const elsewhere = await makeRunningSite(office);
  expect(await wrong({ machineTag: 'NO-SUCH' })).toEqual(['#/machineTag unknown-machine']);
  expect(await wrong({ machineTag: elsewhere.machine['tag'] })).toEqual(['#/machineTag not-placed-here']);
  expect(await wrong({ machineTag: tag, collectionId: undefined })).toEqual(['#/machineTag not-allowed']);
});

test('a collector’s cash is not counted while a visit that they counted at the machines waits: what they handed in of it would be booked as over', async () => {
  const day = '2026-04-21';
  const bar = await makeRunningSite(office);
  const wren = await makePerson(owner);
  const visit = { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, counts: [count(bar.machine, '530.00', '0.00')] };
  const { id } = (await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit }).expect(201)).body as Made;
  await move({ kind: 'handed-in', movedOn: day, amount: usd('500.00'), collectorId: wren.id });
  const counted = (countedOn: string) => office.post('/v1/cash-stocktakes', { place: 'collector', collectorId: wren.id, countedOn, counted: usd('0.00'), reason: 'Pockets turned out' });
  expect(errorsOf(await counted(day).expect(422))).toEqual(['#/collectorId visits-waiting']);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  expect((await counted(day).expect(201)).body).toMatchObject({ booked: usd('30.00'), difference: usd('-30.00') });
  // What came later is no reason not to count how it was before.
  const later = { ...visit, happenedAt: '2026-04-28T12:00:00-05:00' };
  await collector.post('/v1/paper-visits', { collectedBy: wren.id, visit: later }).expect(201);
  expect((await counted('2026-04-27').expect(201)).body).toMatchObject({ difference: usd('0.00') });
  expect(errorsOf(await counted('2026-04-28').expect(422))).toEqual(['#/collectorId visits-waiting']);
});

test('nor while a visit of theirs with counts is kept aside, until somebody settles it', async () => {
  const bar = await makeRunningSite(office);
  const phone = await api.operator.newMember('collector');
  const wren = await makePerson(owner);
  await bindToPerson(owner, { accountId: phone.id, role: 'collector', personId: wren.id });
  const device = (await phone.post('/v1/devices', { name: 'Phone 9' }).expect(201)).body as { id: string; secret: string };
  const visitId = randomUUID();
  const visit = { siteId: bar.site.id, happenedAt: '2026-05-05T12:00:00-05:00', counts: [count(bar.machine, '90.00', '0.00')], readings: [{ machineId: bar.machine.id, meterId: bar.machine.id, value: '1' }] };
  expect((await phone.post('/v1/visits', { id: visitId, deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit }).expect(201)).body).toMatchObject({ outcome: 'quarantined' });
  const counted = (countedOn: string) => office.post('/v1/cash-stocktakes', { place: 'collector', collectorId: wren.id, countedOn, counted: usd('0.00'), reason: 'Pockets turned out' });
  expect(errorsOf(await counted('2026-05-05').expect(422))).toEqual(['#/collectorId visit-kept-aside']);
  expect(errorsOf(await counted('2026-06-02').expect(422))).toEqual(['#/collectorId visit-kept-aside']);
  // What went into bags is not with them, other cash is not of that visit, and before it there was none of it.
  const bagged = { ...visit, bags: [{ machineTag: bar.machine['tag'], number: 'B-91', seal: 'S-91' }] };
  expect((await phone.post('/v1/visits', { id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence: 2, visit: { ...bagged, happenedAt: '2026-05-04T12:00:00-05:00' } }).expect(201)).body).toMatchObject({ outcome: 'quarantined' });
  await counted('2026-05-04').expect(201);
  await office.post('/v1/cash-stocktakes', { place: 'collector', collectorId: wren.id, countedOn: '2026-06-02', counted: { amount: '0.00', currency: 'EUR' }, reason: 'Foreign notes' }).expect(201);
  await owner.post(`/v1/visits/${visitId}/discard`, { reason: 'It was sent twice' }).expect(200);
  await counted('2026-06-02').expect(201);
});

test('who collected does not say what the room received of it', async () => {
  const orla = await makePerson(owner);
  await bindToPerson(owner, { accountId: api.operator.as('bookkeeper').id, role: 'bookkeeper', personId: orla.id });
  const own = { kind: 'handed-in', movedOn: '2026-05-12', amount: usd('5.00'), collectorId: orla.id };
  expect((await office.post('/v1/cash-moves', own).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await owner.post('/v1/cash-moves', own).expect(201);
});

test('a bag that was forgotten at the site is noted afterwards with the machine out of whose box it came', async () => {
  const [bar, other] = [await makeRunningSite(office), await makeRunningSite(office)];
  const tag = String(bar.machine['tag']);
  const { id } = (await collector.post('/v1/collections', { siteId: bar.site.id, happenedAt: '2026-03-18T12:00:00-05:00', counts: [] }).expect(201)).body as Made;
  const note = (machineTag: unknown) => office.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-40', seal: 'S-4000' }, { number: 'B-41', seal: 'S-4001', machineTag }] });
  expect(errorsOf(await note(other.machine['tag']).expect(422))).toEqual(['#/bags/1/machineTag not-placed-here']);
  expect(errorsOf(await note('NONE-1').expect(422))).toEqual(['#/bags/1/machineTag not-placed-here']);
  await note(tag).expect(201);
  const { items } = (await office.get(`/v1/collections/${id}/bags`).expect(200)).body as { items: { number: string; machineTag: string | null }[] };
  expect(items.map(({ number, machineTag }) => [number, machineTag])).toEqual([['B-40', null], ['B-41', tag]]);
});
