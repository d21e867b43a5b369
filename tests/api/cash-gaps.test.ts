import type { Bags, CashGaps } from '#contracts/cash-trail';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { cashTrailAs } from '#tests/support/cash-trail';
import { count, usd } from '#tests/support/collecting';
import { errorsOf, makePerson, makeRunningSite, type Made } from '#tests/support/set-up';

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

const { move } = cashTrailAs(() => office);

test('over many days the gaps that are still open are listed with who had the cash last; what came on a later day is set off', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner, { name: 'Orla Quill' });
  const perry = await makePerson(owner, { name: 'Perry Lund' });
  const gaps = async (query: string, by = office) => (await by.get(`/v1/cash-gaps?${query}`).expect(200)).body as CashGaps;
  const days = 'from=2026-05-01&to=2026-05-11';
  expect(await gaps(days)).toEqual({ from: '2026-05-01', to: '2026-05-11', gaps: [], bags: [], waiting: 0 });
  // Orla brings her float back two days later, Perry 12.00 less than he got.
  for (const who of [orla, perry]) await move({ kind: 'float-given', movedOn: '2026-05-01', amount: usd('50.00'), collectorId: who.id });
  await move({ kind: 'float-returned', movedOn: '2026-05-03', amount: usd('50.00'), collectorId: orla.id });
  await move({ kind: 'float-returned', movedOn: '2026-05-02', amount: usd('38.00'), collectorId: perry.id });
  // Counted at the machine, and 10.00 less by the room; 20.00 handed to the site and 3.00 given back to a player before bagging.
  const { id } = (await collector.post('/v1/collections', { siteId: bar.site.id, happenedAt: '2026-05-08T12:00:00-05:00', collectedBy: orla.id, counts: [] }).expect(201)).body as Made;
  await collector.post(`/v1/collections/${id}/field-counts`, { countedBy: orla.id, counts: [count(bar.machine, '330.00', '0.00')] }).expect(200);
  const refunds = [{ machineTag: bar.machine['tag'], refundedOn: '2026-05-08', amount: usd('3.00'), paidBy: 'operator' }];
  await collector.post(`/v1/collections/${id}/counts`, { counts: [count(bar.machine, '320.00', '0.00')], refunds, cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Bar staff' }] }).expect(200);
  const bags = (await collector.post(`/v1/collections/${id}/bags`, { bags: [{ number: 'B-71', seal: 'S-7101' }] }).expect(201)).body as Bags;
  expect(await gaps(days)).toMatchObject({ waiting: 1 });
  await office.post(`/v1/collections/${id}/accept`).expect(200);
  const own = { collectorId: null, collectorName: '' };
  const found = await gaps(days, api.operator.as('auditor'));
  expect(found.waiting).toBe(0);
  // What Perry kept, and what the room gave out and got back in floats on its days, weighs against what it found and has not paid in.
  expect(found.gaps.map(({ day, kind, amount, holder, collectorName, siteCode }) => [day.slice(8), kind, amount.amount, holder, collectorName, siteCode])).toEqual([
    ['01', 'float', '-12.00', 'collector', 'Perry Lund', null],
    ['08', 'bags', '-10.00', 'collector', 'Orla Quill', bar.site['code']],
    ['08', 'paid-in', '-285.00', 'counting-room', '', null],
  ]);
  expect(found.gaps[2]).toMatchObject(own);
  expect(found.bags).toEqual([{ day: '2026-05-08', collectorId: orla.id, collectorName: 'Orla Quill', bagId: bags.items[0]?.id, collectionId: id, siteCode: bar.site['code'], number: 'B-71', finding: 'not-received', holder: 'collector' }]);
  // A week's cash that is paid in at once.
  await move({ kind: 'paid-in', movedOn: '2026-05-11', amount: usd('285.00') });
  expect((await gaps(days)).gaps.map(({ kind }) => kind)).toEqual(['float', 'bags']);
  // Within other days the other half of a pair is not there.
  expect((await gaps('from=2026-05-03&to=2026-05-03')).gaps).toMatchObject([{ kind: 'float', amount: usd('50.00'), collectorName: 'Orla Quill' }, { kind: 'paid-in', amount: usd('-50.00') }]);
  expect(errorsOf(await office.get('/v1/cash-gaps?from=2026-05-02&to=2026-05-01').expect(400))).toEqual(['to before-start']);
  expect(errorsOf(await office.get('/v1/cash-gaps?from=2026-05-02&to=2027-05-03').expect(400))).toEqual(['to too-long']);
  await collector.get(`/v1/cash-gaps?${days}`).expect(403);
});
