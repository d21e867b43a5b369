import type { Bag, Bags, CashMove, CashTrail, ChangeFund, Stocktake } from '#contracts/cash-trail';
import type { Collection } from '#contracts/collection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { transmissionOf, type ToldFigures } from '#tests/support/audit-data';
import { cashTrailAs } from '#tests/support/cash-trail';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makeMachine, makePerson, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;
const DAY = '2026-03-10';

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  owner = api.operator.as('owner');
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
});
afterAll(() => api?.close());

const { trailOf, move, balances } = cashTrailAs(() => office);
const fundAt = async (running: Running, code: string): Promise<ChangeFund> => (await office.post('/v1/change-funds', { code, kind: 'changer', siteId: running.site.id }).expect(201)).body as ChangeFund;

/** Collected by somebody, 330.00 counted at the machine, 320.00 in the room; 20.00 handed to the site and 3.00 given back to a player before bagging. */
async function collected(running: Running, orla: Made, day: string): Promise<string> {
  const visit = { siteId: running.site.id, happenedAt: `${day}T12:00:00-05:00`, collectedBy: orla.id, counts: [] };
  const { id } = (await collector.post('/v1/collections', visit).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/field-counts`, { countedBy: orla.id, counts: [count(running.machine, '330.00', '0.00')] }).expect(200);
  const refunds = [{ machineTag: running.machine['tag'], refundedOn: day, amount: usd('3.00'), paidBy: 'operator' }];
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(running.machine, '320.00', '0.00')], refunds, cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Bar staff' }] }).expect(200);
  return id;
}

test('the cash of a day is followed from the float to the bank, and the journal holds it at each place', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner, { name: 'Orla Quill' });
  const changer = await fundAt(bar, 'CHANGER-1');
  await move({ kind: 'float-given', movedOn: DAY, amount: usd('50.00'), collectorId: orla.id });
  const id = await collected(bar, orla, DAY);
  await move({ kind: 'fund-filled', movedOn: DAY, amount: usd('10.00'), fundId: changer.id, collectionId: id });
  const bags = (await collector.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-17', seal: 'S-1001' }, { number: 'B-18', seal: 'S-1002' }] }).expect(201)).body as Bags;

  // Nobody learns from the trail what was found at the machine before the room's count is accepted.
  expect((await trailOf(DAY)).rounds).toMatchObject([{ collectorName: 'Orla Quill', float: usd('50.00'), removed: usd('0.00'), toBring: usd('50.00'), waiting: 1 }]);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  await move({ kind: 'float-returned', movedOn: DAY, amount: usd('50.00'), collectorId: orla.id });
  await move({ kind: 'paid-in', movedOn: '2026-03-11', countedOn: DAY, amount: usd('280.00'), reference: 'Slip 88' });

  const trail = await trailOf(DAY);
  expect(trail.rounds).toEqual([
    {
      collectorId: orla.id, collectorName: 'Orla Quill', currency: 'USD',
      float: usd('50.00'), removed: usd('330.00'), handed: usd('20.00'), refunds: usd('3.00'), filled: usd('10.00'), toBring: usd('347.00'),
      found: usd('287.00'), toHandIn: usd('0.00'), handedIn: null, floatReturned: usd('50.00'), difference: usd('-10.00'), collections: 1, notCountedAtMachine: 0, waiting: 0,
      gaps: [{ kind: 'bags', collectionId: id, siteCode: bar.site['code'], amount: usd('-10.00'), holder: 'collector' }],
    },
  ]);
  const gap = { kind: 'paid-in', collectionId: null, siteCode: null, amount: usd('-7.00'), holder: 'counting-room' };
  expect(trail.rooms).toMatchObject([{ found: usd('287.00'), floatGiven: usd('50.00'), floatReturned: usd('50.00'), filled: usd('0.00'), toPayIn: usd('287.00'), paidIn: usd('280.00'), gap, balance: usd('287.00') }]);
  expect(trail.bags.map(({ number, finding, holder }) => [number, finding, holder])).toEqual([['B-17', 'not-received', 'collector'], ['B-18', 'not-received', 'collector']]);
  expect(await balances('2026-03-11')).toMatchObject({ 'assets:cash:counting room': '7.00', 'assets:cash:float:CHANGER-1': '10.00', 'assets:bank': '280.00' });

  const counted = (await office.post('/v1/cash-stocktakes', { place: 'counting-room', countedOn: '2026-03-12', counted: usd('0.00'), reason: 'Counted by two' }).expect(201)).body as Stocktake;
  expect(counted).toMatchObject({ booked: usd('7.00'), difference: usd('-7.00') });
  expect(await balances('2026-03-12')).toMatchObject({ 'expenses:cash over and short': '7.00' });

  await stepsOf(bags.items);
});

/** One bag keeps its seal, the other does not. */
async function stepsOf([kept, broken]: readonly Bag[]): Promise<void> {
  const step = (bag: Bag | undefined, kind: string, seal: string, by = office) => by.post(`/v1/bags/${bag?.id ?? ''}/steps`, { kind, seal });
  // Whoever filled the bags looks at no seal of them.
  expect((await step(kept, 'received', 'S-1001', collector).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect((await step(kept, 'opened', 'S-1001').expect(409)).body).toMatchObject({ code: 'wrong-state' });
  const timed = (kind: string, happenedAt: string) => office.post(`/v1/bags/${kept?.id ?? ''}/steps`, { kind, seal: 'S-1001', happenedAt });
  expect(errorsOf(await timed('received', `${DAY}T11:59:00-05:00`).expect(422))).toEqual(['#/happenedAt too-early']);
  expect((await step(kept, 'received', 'S-1001').expect(201)).body).toMatchObject({ received: { withoutSecondPerson: false } });
  expect((await step(kept, 'opened', 'S-1001', collector).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect(errorsOf(await timed('opened', `${DAY}T18:00:00-05:00`).expect(422))).toEqual(['#/happenedAt too-early']);
  expect((await step(kept, 'opened', 'S-1001').expect(201)).body).toMatchObject({ finding: null, opened: { seal: 'S-1001' } });
  expect(errorsOf(await step(kept, 'opened', 'S-1001').expect(409))).toEqual(['#/kind taken']);
  expect((await step(broken, 'received', 'S-1002').expect(201)).body).toMatchObject({ finding: 'not-opened', holder: 'counting-room' });
  expect((await step(broken, 'opened', 'S-7777').expect(201)).body).toMatchObject({ finding: 'other-seal-when-opened', holder: 'counting-room' });
  expect((await trailOf(DAY)).rounds[0]?.gaps).toMatchObject([{ kind: 'bags', amount: usd('-10.00'), holder: 'counting-room' }]);
  expect(((await collector.get(`/v1/bags?day=${DAY}`).expect(200)).body as Bags).items.map(({ finding }) => finding)).toEqual([null, 'other-seal-when-opened']);
}

test('a box that was counted at the machine and whose bag never came is missing whole', async () => {
  const day = '2026-03-17';
  const bar = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: bar.site.id });
  const orla = await makePerson(owner);
  const { id } = (await collector.post('/v1/collections', { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, collectedBy: orla.id, counts: [] }).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/field-counts`, { countedBy: orla.id, counts: [count(bar.machine, '30.00', '0.00'), count(second, '80.00', '0.00')] }).expect(200);
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '30.00', '0.00')] }).expect(200);
  const afterwards = await office.post(`/v1/collections/${id}/field-counts`, { countedBy: orla.id, counts: [{ ...count(second, '80.00', '0.00'), part: 2 }] });
  expect(afterwards.body).toMatchObject({ code: 'not-allowed-in-state' });
  const refusal = (await office.post(`/v1/collections/${id}/accept`).expect(409)).body as { detail: string };
  expect(refusal.detail).toContain(`${String(second['tag'])} at ${String(bar.site['code'])} on 17 March 2026 (it was counted at the machine)`);
  await office.post(`/v1/collections/${id}/counts`, { counts: [count(second, '0.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  expect((await trailOf(day)).rounds).toMatchObject([{ removed: usd('110.00'), found: usd('30.00'), gaps: [{ kind: 'bags', collectionId: id, amount: usd('-80.00') }] }]);
});

test('a change fund has a balance: filled out of a float, emptied, counted; a wrong move is taken back', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const day = '2026-04-07';
  const tubes = (await office.post('/v1/change-funds', { code: 'TUBES-1', kind: 'tubes', siteId: bar.site.id, machineId: bar.machine.id }).expect(201)).body as ChangeFund;
  await move({ kind: 'float-given', movedOn: day, amount: usd('100.00'), collectorId: orla.id });
  await move({ kind: 'fund-filled', movedOn: day, amount: usd('60.00'), fundId: tubes.id, collectorId: orla.id });
  const wrong = await move({ kind: 'fund-emptied', movedOn: day, amount: usd('600.00'), fundId: tubes.id });
  const back = (await office.post(`/v1/cash-moves/${wrong.id}/taking-back`, { reason: 'A zero too many.' }).expect(200)).body as CashMove;
  expect(back).toMatchObject({ id: wrong.id, takenBack: 'A zero too many.' });
  expect((await office.post(`/v1/cash-moves/${wrong.id}/taking-back`, { reason: 'Again.' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  const emptied = await move({ kind: 'fund-emptied', movedOn: day, amount: usd('15.00'), fundId: tubes.id });
  const counted = (await office.post('/v1/cash-stocktakes', { place: 'fund', fundId: tubes.id, countedOn: day, counted: usd('44.00'), reason: 'Opened for a repair' }).expect(201)).body as Stocktake;
  expect(counted).toMatchObject({ booked: usd('45.00'), difference: usd('-1.00') });
  // What is wrong with it is in the difference that was booked: taken back now, it would be booked twice.
  const late = (await office.post(`/v1/cash-moves/${emptied.id}/taking-back`, { reason: 'It was 14.00.' }).expect(409)).body as { code: string; detail: string };
  expect(late).toMatchObject({ code: 'wrong-state' });
  expect(late.detail).toContain('The change fund was counted on 7 April 2026');
  const funds = (await api.operator.as('auditor').get('/v1/change-funds').expect(200)).body as { items: ChangeFund[] };
  expect(funds.items.find(({ id }) => id === tubes.id)).toMatchObject({ code: 'TUBES-1', machineTag: bar.machine['tag'], balance: usd('44.00'), countedOn: day });
  const trail = await trailOf(day);
  expect(trail.rounds).toMatchObject([{ collectorId: orla.id, toBring: usd('40.00'), difference: usd('-40.00'), gaps: [{ kind: 'float', amount: usd('-40.00'), holder: 'collector' }] }]);
  expect(trail.rooms).toMatchObject([{ floatGiven: usd('100.00'), emptied: usd('15.00'), filled: usd('0.00'), toPayIn: usd('-85.00') }]);
});

test('what makes no sense is refused by its field', async () => {
  const bar = await makeRunningSite(office);
  const fund = await fundAt(bar, 'HOPPER-9');
  const orla = await makePerson(owner);
  const wrong = async (body: object, status = 400) => errorsOf(await office.post('/v1/cash-moves', { kind: 'paid-in', movedOn: DAY, amount: usd('1.00'), ...body }).expect(status));
  expect(await wrong({ kind: 'float-given' })).toEqual(['#/collectorId missing']);
  expect(await wrong({ kind: 'fund-filled' })).toEqual(['#/fundId missing']);
  expect(await wrong({ fundId: fund.id })).toEqual(['#/fundId not-allowed']);
  expect(await wrong({ kind: 'fund-filled', fundId: fund.id, collectorId: orla.id, collectionId: fund.id })).toEqual(['#/collectionId one-of-two']);
  expect(await wrong({ amount: usd('0.00') })).toEqual(['#/amount/amount not-positive']);
  expect(await wrong({ movedOn: '2026-06-30' }, 422)).toEqual(['#/movedOn in-the-future']);
  expect(await wrong({ kind: 'fund-filled', fundId: orla.id }, 422)).toEqual(['#/fundId unknown']);
  expect(await wrong({ kind: 'fund-filled', fundId: fund.id, amount: { amount: '1.00', currency: 'EUR' } }, 422)).toEqual(['#/fundId other-currency']);
  expect(errorsOf(await office.post('/v1/change-funds', { code: 'HOPPER-9', kind: 'hopper', siteId: bar.site.id }).expect(409))).toEqual(['#/code taken']);
  expect(errorsOf(await office.post('/v1/change-funds', { code: 'HOPPER-8', kind: 'hopper', siteId: fund.id }).expect(422))).toEqual(['#/siteId unknown']);
  expect(errorsOf(await office.post('/v1/cash-stocktakes', { place: 'fund', countedOn: DAY, counted: usd('1.00'), reason: 'None' }).expect(400))).toEqual(['#/fundId missing']);
  const counted = (countedOn: string) => office.post('/v1/cash-stocktakes', { place: 'fund', fundId: fund.id, countedOn, counted: usd('0.00'), reason: 'Counted' });
  await counted('2026-03-12').expect(201);
  expect(errorsOf(await counted('2026-03-11').expect(422))).toEqual(['#/countedOn before-latest']);
  await counted('2026-03-12').expect(201);
  // What went in before it was counted is in the difference already.
  const filled = { kind: 'fund-filled', fundId: fund.id, collectorId: orla.id };
  expect(await wrong({ ...filled, movedOn: '2026-03-11' }, 422)).toEqual(['#/movedOn before-latest']);
  await move({ ...filled, movedOn: '2026-03-12', amount: usd('1.00') });
  expect(await wrong({ reason: 'No boxes here.' })).toEqual(['#/reason not-allowed']);
  await collector.get(`/v1/cash-trail?day=${DAY}`).expect(403);
  await collector.post('/v1/cash-moves', { kind: 'paid-in', movedOn: DAY, amount: usd('1.00') }).expect(403);
});

/** Bagged at the site after 200.00 were handed over; the room finds 300.00 in coins and 500.00 in notes. The meters imply 1,000.00. */
async function bagged(running: Running, orla: Made, day: string): Promise<string> {
  const visit = { siteId: running.site.id, happenedAt: `${day}T12:00:00-06:00`, collectedBy: orla.id, counts: [], bagged: true, cashHanded: [{ amount: usd('200.00'), acknowledgedBy: 'Bar staff' }] };
  const { id } = (await collector.post('/v1/collections', visit).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(running.machine, '300.00', '500.00')] }).expect(200);
  await office.post(`/v1/collections/${id}/metered-amounts`, { amounts: [{ machineTag: running.machine['tag'], amount: usd('1000.00') }] }).expect(200);
  return id;
}
const collection = async (id: string): Promise<Collection> => (await office.get(`/v1/collections/${id}`).expect(200)).body as Collection;
const partsOf = ({ counts }: Collection) => counts.filter(({ replacedById }) => replacedById === null).map(({ part, coin, note }) => [part, coin.amount, note.amount]);
const variancesOf = async (id: string) => ((await office.get(`/v1/collections/${id}/variances`).expect(200)).body as { items: { tender: string; variance: { amount: string } | null }[] }).items.map((each) => each.variance?.amount);
/** By how many cents each balance changed, the largest credit first. */
const changes = (before: Record<string, string>, after: Record<string, string>): number[] => {
  const cents = (amount = '0.00') => Number(amount.replace('.', ''));
  return Object.entries(after).map(([name, amount]) => cents(amount) - cents(before[name])).filter((change) => change !== 0).sort((one, other) => one - other);
};

test('what was handed over before bagging is takings like the rest: 800.00 in the bag and 200.00 handed over are 1,000.00', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner, { name: 'Mira Dell' });
  const day = '2026-02-10';
  const before = await balances('2026-02-28');
  const id = await bagged(bar, orla, day);
  expect(await collection(id)).toMatchObject({ bagged: true, counted: usd('1000.00'), handed: usd('200.00'), countedMachines: 1 });
  expect(partsOf(await collection(id))).toEqual([[0, '75.00', '125.00'], [1, '300.00', '500.00']]);
  // Of which box it was and in what is said with it or later, and taken for what it is.
  const said = async (more: object) => {
    const standing = (await collection(id)).cashHanded.find(({ replacedById }) => replacedById === null);
    return office.post(`/v1/collections/${id}/cash-handed-corrections`, { cashHandedId: standing?.id, amount: usd('200.00'), reason: 'It was in notes.', ...more });
  };
  const other = await makeRunningSite(office);
  expect(errorsOf(await said({ machineTag: 'NOWHERE', coin: usd('200.01') }))).toEqual(['#/coin more-than-amount', '#/machineTag unknown-machine']);
  expect(errorsOf(await said({ machineTag: other.machine['tag'] }))).toEqual(['#/machineTag not-placed-here']);
  expect((await said({ machineTag: bar.machine['tag'], coin: usd('20.00') })).body).toMatchObject({ cashHanded: [{ coin: null, machineTag: null }, { coin: usd('20.00'), machineTag: bar.machine['tag'] }] });
  expect(partsOf(await collection(id))).toEqual([[0, '20.00', '180.00'], [1, '300.00', '500.00']]);
  expect(errorsOf(await said({ amount: usd('19.00') }))).toEqual(['#/coin more-than-amount']);
  expect((await said({ machineTag: null, coin: null })).status).toBe(200);
  expect(partsOf(await collection(id))).toEqual([[0, '75.00', '125.00'], [1, '300.00', '500.00']]);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  expect(await variancesOf(id)).toEqual(['0.00']);
  // The room has what it found, the site what it was handed, and both are takings.
  expect(changes(before, await balances('2026-02-28'))).toEqual([-1000_00, 200_00, 800_00]);
  const { rounds } = await trailOf(day);
  expect(rounds).toMatchObject([{ removed: usd('1000.00'), handed: usd('200.00'), toBring: usd('800.00'), found: usd('800.00'), difference: usd('0.00'), gaps: [] }]);

  await issueMonth(api, (await closeMonth(api, '2026-02-01')).id);
  // 40 percent of 1,000.00 are the site's; half of that it has.
  expect((await settlementOf(api, { siteId: bar.site.id, startsOn: '2026-02-01' })).totals).toMatchObject({ takings: usd('1000.00'), siteShare: usd('400.00'), payable: usd('200.00') });

  // The receipt says 250.00: the room found the same, so the box held 50.00 more. 20.00 of it are the site's, which has 50.00.
  const handed = (await collection(id)).cashHanded.find(({ replacedById }) => replacedById === null);
  await owner.post(`/v1/collections/${id}/cash-handed-corrections`, { cashHandedId: handed?.id, amount: usd('250.00'), reason: 'The receipt says so.' }).expect(200);
  expect(partsOf(await collection(id))).toEqual([[0, '93.75', '156.25'], [1, '300.00', '500.00']]);
  expect(await variancesOf(id)).toEqual(['50.00']);
  expect((await trailOf(day)).rounds).toMatchObject([{ removed: usd('1050.00'), handed: usd('250.00'), found: usd('800.00'), gaps: [] }]);
  expect((await office.get('/v1/late-changes').expect(200)).body).toMatchObject({ items: [{ cause: 'handed' }, { cause: 'correction' }] });
  // One change of the month, however many ways it is settled.
  expect((await office.get('/v1/month-end?cycle=month&startsOn=2026-03-01').expect(200)).body).toMatchObject({ counts: { lateChanges: 1 } });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  const march = await settlementOf(api, { siteId: bar.site.id, startsOn: '2026-03-01' });
  expect(march.totals).toMatchObject({ payable: usd('-30.00') });
});

test('a change fund is filled out of boxes of its own site, on their day, and out of what was in them', async () => {
  const bar = await makeRunningSite(office);
  const inn = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const day = '2026-05-12';
  const fund = await fundAt(bar, 'CHANGER-5');
  const filling = { kind: 'fund-filled', movedOn: day, amount: usd('10.00'), fundId: fund.id };
  const wrong = async (body: object) => errorsOf(await office.post('/v1/cash-moves', { ...filling, ...body }).expect(422));
  const visit = { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, collectedBy: orla.id, counts: [] };
  const whole = ((await collector.post('/v1/collections', visit).expect(201)).body as Made).id;
  expect(await wrong({ collectionId: whole })).toEqual(['#/collectionId not-counted']);
  await collector.post(`/v1/collections/${whole}/counts`, { counts: [count(bar.machine, '100.00', '0.00')], cashHanded: [{ amount: usd('85.00') }] }).expect(200);
  expect(await wrong({ collectionId: whole, fundId: (await fundAt(inn, 'CHANGER-6')).id })).toEqual(['#/collectionId other-site']);
  expect(await wrong({ collectionId: whole, movedOn: '2026-05-13' })).toEqual(['#/movedOn other-day']);
  expect(await wrong({ collectionId: whole, amount: usd('15.01') })).toEqual(['#/amount more-than-counted']);
  await move({ ...filling, collectionId: whole });
  expect(await wrong({ collectionId: whole, amount: usd('5.01') })).toEqual(['#/amount more-than-counted']);
  // The counts had it: nothing was added to them.
  const made = await collection(whole);
  expect(made).toMatchObject({ bagged: false, counted: usd('100.00') });
  // 85.00 and 10.00 of 100.00 went out: 5.00 are left, whatever is corrected.
  const [handed, counted] = [made.cashHanded[0]?.id, made.counts[0]?.id];
  const correctHanded = (amount: string, status: number) => owner.post(`/v1/collections/${whole}/cash-handed-corrections`, { cashHandedId: handed, amount: usd(amount), reason: 'The receipt says so.' }).expect(status);
  const correctCount = (amount: string, status: number) => owner.post(`/v1/collections/${whole}/corrections`, { countId: counted, coin: usd(amount), note: usd('0.00'), reason: 'Counted again.' }).expect(status);
  expect(errorsOf(await correctHanded('90.01', 422))).toEqual(['#/amount more-than-counted']);
  expect(errorsOf(await correctCount('94.99', 422))).toEqual(['#/coin more-than-counted']);
  await correctHanded('90.00', 200);
  expect(errorsOf(await correctCount('99.99', 422))).toEqual(['#/coin more-than-counted']);
  await correctCount('100.01', 200);
});

test('a change fund that was filled before bagging is takings, and no more once that is taken back; trail and books agree throughout', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner, { name: 'Pell Tarn' });
  const day = '2026-05-20';
  const fund = await fundAt(bar, 'CHANGER-7');
  const before = await balances('2026-06-02');
  const id = await bagged(bar, orla, day);
  const filling = (amount: string) => ({ kind: 'fund-filled', movedOn: day, amount: usd(amount), fundId: fund.id, collectionId: id });
  const first = await move(filling('40.00'));
  expect(await collection(id)).toMatchObject({ counted: usd('1040.00') });
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  // It adds to takings that are in the books: with a reason, and by nobody who counted or accepted them.
  expect(errorsOf(await office.post('/v1/cash-moves', filling('8.00')).expect(422))).toEqual(['#/reason missing']);
  const because = { ...filling('8.00'), reason: 'The slip lay in the changer.' };
  expect((await office.post('/v1/cash-moves', because).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const late = (await owner.post('/v1/cash-moves', because).expect(201)).body as CashMove;
  expect((await collection(id)).counts.find(({ part, replacedById }) => part === 0 && replacedById === null)).toMatchObject({ reason: 'The slip lay in the changer.' });
  // The books of the day itself agree: 8.00 more in the fund and none in the room.
  expect((await balances(day))['assets:cash:float:CHANGER-7']).toBe('48.00');
  expect(await collection(id)).toMatchObject({ counted: usd('1048.00') });
  await owner.post(`/v1/cash-moves/${first.id}/taking-back`, { reason: 'It was another day.' }).expect(200);
  expect(await collection(id)).toMatchObject({ counted: usd('1008.00') });
  const { rounds } = await trailOf(day);
  expect(rounds.filter(({ collectorName }) => collectorName === 'Pell Tarn')).toMatchObject([{ removed: usd('1008.00'), handed: usd('200.00'), filled: usd('8.00'), found: usd('800.00'), gaps: [] }]);
  expect(changes(before, await balances('2026-06-02'))).toEqual([-1008_00, 8_00, 200_00, 800_00]);
  // What is in the books is taken back by somebody else than who recorded it.
  expect((await owner.post(`/v1/cash-moves/${late.id}/taking-back`, { reason: 'Mine.' }).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const part = (await collection(id)).counts.find((each) => each.part === 0 && each.replacedById === null);
  const correction = { countId: part?.id, coin: usd('1.00'), note: usd('0.00'), reason: 'No.' };
  expect(errorsOf(await owner.post(`/v1/collections/${id}/corrections`, correction).expect(422))).toEqual(['#/countId by-receipt']);
});

test('slips and fillings out of boxes say how much of them was coins, and it is taken for what it is', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const day = '2026-05-26';
  const fund = await fundAt(bar, 'CHANGER-9');
  const visit = { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, collectedBy: orla.id, counts: [], bagged: true };
  const { id } = (await collector.post('/v1/collections', visit).expect(201)).body as Made;
  const refund = (coin: object) => ({ counts: [count(bar.machine, '300.00', '500.00')], refunds: [{ machineTag: bar.machine['tag'], refundedOn: day, amount: usd('8.00'), paidBy: 'operator', coin }] });
  expect(errorsOf(await collector.post(`/v1/collections/${id}/counts`, refund(usd('8.01'))).expect(422))).toEqual(['#/refunds/0/coin more-than-amount']);
  await collector.post(`/v1/collections/${id}/counts`, refund(usd('8.00'))).expect(200);
  expect(await collection(id)).toMatchObject({ refundSlips: [{ coin: usd('8.00') }] });
  expect(partsOf(await collection(id))).toEqual([[0, '8.00', '0.00'], [1, '300.00', '500.00']]);
  const filling = { kind: 'fund-filled', movedOn: day, amount: usd('40.00'), fundId: fund.id, collectionId: id };
  expect(errorsOf(await office.post('/v1/cash-moves', { ...filling, coin: usd('40.01') }).expect(422))).toEqual(['#/coin more-than-amount']);
  expect(errorsOf(await office.post('/v1/cash-moves', { kind: 'fund-filled', movedOn: day, amount: usd('40.00'), fundId: fund.id, coin: usd('1.00') }).expect(400))).toEqual(['#/coin not-allowed']);
  const filled = await move({ ...filling, coin: usd('35.00') });
  expect(filled).toMatchObject({ coin: usd('35.00') });
  expect(partsOf(await collection(id))).toEqual([[0, '43.00', '5.00'], [1, '300.00', '500.00']]);
  // Put right, it stays of the coins that were noted, unless those are more than it is now; unsaid again, it is shared as it was found.
  const corrected = (more: object) => owner.post(`/v1/collections/${id}/refund-slip-corrections`, { refundSlipId: '', amount: usd('8.00'), reason: 'The slip says so.', ...more });
  const standing = async () => (await collection(id)).refundSlips.find(({ replacedById }) => replacedById === null)?.id;
  expect(errorsOf(await corrected({ refundSlipId: await standing(), amount: usd('7.00') }).expect(422))).toEqual(['#/coin more-than-amount']);
  await corrected({ refundSlipId: await standing(), coin: usd('0.00') }).expect(200);
  expect(partsOf(await collection(id))).toEqual([[0, '35.00', '13.00'], [1, '300.00', '500.00']]);
  await corrected({ refundSlipId: await standing(), coin: null }).expect(200);
  expect(partsOf(await collection(id))).toEqual([[0, '38.00', '10.00'], [1, '300.00', '500.00']]);
  await office.post(`/v1/cash-moves/${filled.id}/taking-back`, { reason: 'Another day.' }).expect(200);
  expect(partsOf(await collection(id))).toEqual([[0, '3.00', '5.00'], [1, '300.00', '500.00']]);
});

test('a filling of a month that is closed meanwhile is booked today, its takings with it', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  const day = '2026-01-20';
  const fund = await fundAt(bar, 'CHANGER-8');
  const id = await bagged(bar, orla, day);
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  await owner.post('/v1/journal/close', { month: '2026-01', reason: 'Reported.' }).expect(200);
  const [before, beforeToday] = [await balances(day), await balances('2026-06-02')];
  expect(errorsOf(await office.post('/v1/cash-moves', { kind: 'fund-filled', movedOn: day, amount: usd('6.00'), fundId: fund.id, collectorId: orla.id }).expect(409))).toEqual(['#/movedOn journal-closed']);
  const filled = (await owner.post('/v1/cash-moves', { kind: 'fund-filled', movedOn: day, amount: usd('6.00'), fundId: fund.id, collectionId: id, reason: 'Found in the changer.' }).expect(201)).body as CashMove;
  expect(filled).toMatchObject({ movedOn: day });
  expect(await collection(id)).toMatchObject({ counted: usd('1006.00') });
  expect(changes(before, await balances(day))).toEqual([]);
  expect(changes(beforeToday, await balances('2026-06-02'))).toEqual([-6_00, 6_00]);
});

test('what a machine tells of its change tubes is held against the fund of the books, and coins that went unseen are a gap with its fund', async () => {
  const bar = await makeRunningSite(office, { machine: { serialNumber: 'INV-540' } });
  await fitBoard(office, bar.machine.id, { fittedAt: '2026-04-01T12:00:00-05:00', meters: [meterFields({ digits: 8, unitValue: usd('0.01'), value: '80000' })] });
  const orla = await makePerson(owner, { name: 'Orla Quill' });
  const tubes = (await office.post('/v1/change-funds', { code: 'TUBES-540', kind: 'tubes', siteId: bar.site.id, machineId: bar.machine.id }).expect(201)).body as ChangeFund;
  // CA4: change since the reset and the set-up; CA10: filled in; CA15: in the tubes now.
  const readOut = async (day: string, told: ToldFigures): Promise<CashTrail['tubes']> => {
    const { id } = (await collector.post('/v1/collections', { siteId: bar.site.id, happenedAt: `${day}T12:00:00-05:00`, collectedBy: orla.id, counts: [] }).expect(201)).body as Made;
    const file = await collector.send('POST', `/v1/audit-files?collectionId=${id}`).set('Content-Type', 'application/octet-stream').send(Buffer.from(transmissionOf({ serial: 'INV-540', ...told })));
    await collector.post(`/v1/audit-files/${(file.body as Made).id}/accept`, { machineId: bar.machine.id }).expect(200);
    await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '40.00', '100.00')] }).expect(200);
    expect((await trailOf(day)).tubes).toEqual([]);
    await office.post(`/v1/collections/${id}/accept`).expect(200);
    return (await trailOf(day)).tubes;
  };
  const first = await readOut('2026-04-07', { more: ['CA4*0*0*25000*0', 'CA10*0*5000', 'CA15*8000'] });
  expect(first).toMatchObject([{ machineTag: bar.machine['tag'], fundCodes: ['TUBES-540'], contents: usd('80.00'), booked: usd('0.00'), expected: null, unknown: 'never-counted', gaps: [] }]);
  await office.post('/v1/cash-stocktakes', { place: 'fund', fundId: tubes.id, countedOn: '2026-04-07', counted: usd('80.00'), reason: 'Counted at the read-out' }).expect(201);
  expect((await trailOf('2026-04-07')).tubes).toMatchObject([{ booked: usd('80.00'), kept: usd('0.00'), expected: usd('80.00'), unknown: null, gaps: [] }]);
  await move({ kind: 'fund-filled', movedOn: '2026-04-10', amount: usd('10.00'), fundId: tubes.id });
  // Sales left 40.00 in the tubes, change took 35.00: 95.00 should lie there.
  const second = await readOut('2026-04-21', { box: [40_00, 940_00], tubes: [40_00, 340_00], notes: [100_00, 2_600_00], more: ['CA4*3500*0*28500*0', 'CA10*1000*6000', 'CA15*9150'] });
  expect(second).toMatchObject([
    {
      contents: usd('91.50'), booked: usd('90.00'), kept: usd('5.00'), expected: usd('95.00'), unknown: null, filledTold: usd('10.00'), filledBooked: usd('10.00'), collectorName: 'Orla Quill',
      gaps: [{ kind: 'tubes', siteCode: bar.site['code'], amount: usd('-3.50'), holder: null }],
    },
  ]);
  // Read out at noon, 10.00 filled in after that; 20.00 were let out by hand, and nobody booked them.
  await move({ kind: 'fund-filled', movedOn: '2026-04-28', amount: usd('10.00'), fundId: tubes.id });
  const third = await readOut('2026-04-28', { box: [40_00, 980_00], tubes: [0, 340_00], notes: [100_00, 2_700_00], more: ['CA4*0*2000*28500*2000', 'CA10*0*6000', 'CA15*7150'] });
  const lacks = [{ kind: 'tubes', amount: usd('-3.50'), holder: null }, { kind: 'let-out', amount: usd('-20.00'), holder: 'collector' }];
  expect(third).toMatchObject([{ booked: usd('90.00'), kept: usd('5.00'), expected: usd('95.00'), filledTold: usd('0.00'), filledBooked: usd('0.00'), letOutTold: usd('20.00'), letOutBooked: usd('0.00'), gaps: lacks }]);
  await move({ kind: 'fund-emptied', movedOn: '2026-04-27', amount: usd('20.00'), fundId: tubes.id });
  expect((await trailOf('2026-04-28')).tubes).toMatchObject([{ booked: usd('70.00'), expected: usd('75.00'), letOutBooked: usd('20.00'), gaps: [{ kind: 'tubes', amount: usd('-3.50') }] }]);
  // Of two funds, a count of one says nothing of what lies in the machine.
  const other = (await office.post('/v1/change-funds', { code: 'TUBES-541', kind: 'tubes', siteId: bar.site.id, machineId: bar.machine.id }).expect(201)).body as ChangeFund;
  await office.post('/v1/cash-stocktakes', { place: 'fund', fundId: other.id, countedOn: '2026-04-28', counted: usd('5.00'), reason: 'Counted at the read-out' }).expect(201);
  expect((await trailOf('2026-04-28')).tubes).toMatchObject([{ fundCodes: ['TUBES-540', 'TUBES-541'], expected: null, unknown: 'counted-apart', gaps: [] }]);
  await office.post('/v1/cash-stocktakes', { place: 'fund', fundId: tubes.id, countedOn: '2026-04-28', counted: usd('66.50'), reason: 'Counted at the read-out' }).expect(201);
  expect((await trailOf('2026-04-28')).tubes).toMatchObject([{ booked: usd('71.50'), kept: usd('0.00'), expected: usd('71.50'), unknown: null, gaps: [] }]);
});

test('the counting room is not counted while something that it counted is in no book: it lies there, and would be booked as over', async () => {
  const [clerk, counter] = [api.other.as('bookkeeper'), api.other.as('collector')];
  const bar = await makeRunningSite(clerk);
  const { id } = (await counter.post('/v1/collections', { siteId: bar.site.id, happenedAt: `${DAY}T12:00:00-05:00`, counts: [] }).expect(201)).body as Made;
  await counter.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '320.00', '0.00')] }).expect(200);
  const counted = (countedOn: string, amount: string) => clerk.post('/v1/cash-stocktakes', { place: 'counting-room', countedOn, counted: usd(amount), reason: 'Counted by two' });
  expect(errorsOf(await counted(DAY, '320.00').expect(422))).toEqual(['#/countedOn counts-waiting']);
  // How it was the day before is no matter of what came later.
  expect((await counted('2026-03-09', '0.00').expect(201)).body).toMatchObject({ booked: usd('0.00'), difference: usd('0.00') });
  await clerk.post(`/v1/collections/${id}/accept`).expect(200);
  expect((await counted(DAY, '320.00').expect(201)).body).toMatchObject({ booked: usd('320.00'), difference: usd('0.00') });
});
