import { randomUUID } from 'node:crypto';
import type { BreakIn } from '#contracts/break-in';
import type { LateChange } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeMachine, makePlacement, makeRunningSite, makeSite, plainTerms, type Made } from '#tests/support/set-up';

const [MARCH, APRIL] = ['2026-03-01', '2026-04-01'];
let api: TestApi;
let operator: TestOperator;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  operator = api.operator;
  office = operator.as('bookkeeper');
});
afterAll(() => api?.close());

const breakIn = (machine: Made, more: object = {}) => ({ machineTag: machine['tag'], happenedOn: '2026-03-12', amount: usd('30.00'), note: 'The lock was drilled.', ...more });

it('records what was stolen, and lists it with its corrections', async () => {
  const { site, machine, placement } = await makeRunningSite(office);
  const made = (await office.post('/v1/break-ins', breakIn(machine)).expect(201)).body as BreakIn;
  expect(made).toMatchObject({ siteId: site.id, placementId: placement.id, machineTag: machine['tag'], happenedOn: '2026-03-12', accountingDate: '2026-03-12', amount: usd('30.00'), accountingReason: null });
  const body = { amount: usd('0.00'), reason: 'The cash was found.' };
  expect((await office.post(`/v1/break-ins/${made.id}/corrections`, body).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const owner = operator.as('owner');
  const corrected = (await owner.post(`/v1/break-ins/${made.id}/corrections`, body).expect(201)).body as BreakIn;
  expect((await owner.post(`/v1/break-ins/${made.id}/corrections`, body).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  const { items } = (await office.get(`/v1/break-ins?siteId=${site.id}`).expect(200)).body as { items: BreakIn[] };
  expect(new Map(items.map((each) => [each.id, [each.amount.amount, each.replacesId, each.replacedById, each.reason]]))).toEqual(
    new Map([
      [made.id, ['30.00', null, corrected.id, null]],
      [corrected.id, ['0.00', made.id, null, body.reason]],
    ]),
  );
  const euros = { ...body, amount: { amount: '1.00', currency: 'EUR' } };
  expect(errorsOf(await office.post(`/v1/break-ins/${corrected.id}/corrections`, euros).expect(422))).toEqual(['#/amount/currency other-currency']);
  await office.post(`/v1/break-ins/${randomUUID()}/corrections`, body).expect(404);
});

describe('refuses', () => {
  let machine: Made;
  beforeAll(async () => {
    ({ machine } = await makeRunningSite(office));
  });

  it.each<[string, object, string, number]>([
    ['an amount below zero', { amount: usd('-1.00') }, '#/amount/amount negative', 400],
    ['an amount of nothing', { amount: usd('0.00') }, '#/amount/amount not-positive', 400],
    ['more digits than the currency has', { amount: usd('1.001') }, '#/amount/amount wrong-digits', 400],
    ['another currency', { amount: { amount: '1.00', currency: 'EUR' } }, '#/amount/currency other-currency', 422],
    ['an unknown machine', { machineTag: 'NO-SUCH' }, '#/machineTag unknown-machine', 422],
    ['an unknown placement', { machineTag: undefined, placementId: randomUUID() }, '#/placementId unknown', 422],
    ['a day before the machine stood anywhere', { happenedOn: '2024-12-31' }, '#/machineTag not-placed-here', 422],
    ['a day that has not come', { happenedOn: '2026-05-03' }, '#/happenedOn in-the-future', 422],
    ['another accounting date without a reason', { accountingDate: '2026-03-13' }, '#/accountingReason missing', 422],
    ['an accounting date that has not come', { accountingDate: '2026-05-03', accountingReason: 'Booked later' }, '#/accountingDate in-the-future', 422],
  ])('%s', async (_what, change, expected, status) => {
    expect(errorsOf(await office.post('/v1/break-ins', breakIn(machine, change)).expect(status))).toEqual([expected]);
  });

  it('a second one at the machine on the day, and an id that is taken', async () => {
    const first = (await office.post('/v1/break-ins', breakIn(machine)).expect(201)).body as BreakIn;
    expect(errorsOf(await office.post('/v1/break-ins', breakIn(machine)).expect(409))).toEqual(['#/happenedOn taken']);
    expect(errorsOf(await office.post('/v1/break-ins', breakIn(machine, { id: first.id, happenedOn: '2026-03-20' })).expect(409))).toEqual(['#/id taken']);
  });

  it('a day on which no agreement holds', async () => {
    const site = await makeSite(office);
    const alone = await makeMachine(office);
    await makePlacement(office, { machineId: alone.id, siteId: site.id });
    expect(errorsOf(await office.post('/v1/break-ins', breakIn(alone)).expect(422))).toEqual(['#/happenedOn no-agreement']);
  });
});

it.each<[string, string, string, string]>([
  // 100.00 counted and 30.00 stolen, shared 60 to 40; who bears it makes the 30.00 good.
  ['all', '100.00', '40.00', '40.00'],
  ['operator', '130.00', '52.00', '52.00'],
  ['site', '130.00', '52.00', '22.00'],
])('is borne by %s', async (borneBy, takings, siteShare, payable) => {
  const own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  try {
    const clerk = own.operator.as('bookkeeper');
    const running = await makeRunningSite(clerk);
    const terms = { ...plainTerms({ partyId: running.party.id }), breakIns: { borneBy } };
    await clerk.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Break-ins' }).set('If-Match', '"1"').expect(201);
    await makeAcceptedCollection(clerk, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
    await clerk.post('/v1/break-ins', breakIn(running.machine)).expect(201);
    await issueMonth(own, (await closeMonth(own, MARCH ?? '')).id);
    const settlement = await settlementOf(own, { siteId: running.site.id, startsOn: MARCH ?? '' });
    expect(settlement).toMatchObject({ state: 'issued', totals: { takings: usd(takings), siteShare: usd(siteShare), payable: usd(payable) } });
  } finally {
    await own.close();
  }
});

it('that comes after its period was issued is settled by difference', async () => {
  const own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  try {
    const clerk = own.operator.as('bookkeeper');
    const running = await makeRunningSite(clerk);
    const terms = { ...plainTerms({ partyId: running.party.id }), breakIns: { borneBy: 'operator' } };
    await clerk.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Break-ins' }).set('If-Match', '"1"').expect(201);
    await makeAcceptedCollection(clerk, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
    await issueMonth(own, (await closeMonth(own, MARCH ?? '')).id);
    const made = (await clerk.post('/v1/break-ins', breakIn(running.machine)).expect(201)).body as BreakIn;
    const { items } = (await clerk.get('/v1/late-changes').expect(200)).body as { items: LateChange[] };
    expect(items.map((change) => [change.startsOn, change.cause, change.sourceId])).toEqual([[MARCH, 'break-in', made.id]]);
    await issueMonth(own, (await closeMonth(own, APRIL ?? '')).id);
    expect((await settlementOf(own, { siteId: running.site.id, startsOn: APRIL ?? '' })).totals).toMatchObject({ earlier: usd('12.00'), payable: usd('12.00') });
  } finally {
    await own.close();
  }
});

it.each<[string, string]>([
  // 10 percent on 100.00 of takings, with or without the 30.00 that were stolen.
  ['in-base', '13.00'],
  ['not-in-base', '10.00'],
])('is taxed as the rule says: %s', async (breakIns, tax) => {
  const own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  try {
    const clerk = own.operator.as('bookkeeper');
    const running = await makeRunningSite(clerk);
    const document = {
      method: 'on-takings', title: 'Levy', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns, negative: 'zero', capPerMachineMonth: null,
      rounding: 'apart', components: [{ id: 'state', title: 'State', ratePercent: '10', machineKinds: 'all' }],
    };
    await clerk.post(`/v1/tax-areas/${String(running.site['taxAreaId'])}/rules`, { code: 'LEVY', validFrom: '2025-01-01', source: 'Invented', document }).expect(201);
    await makeAcceptedCollection(clerk, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
    await clerk.post('/v1/break-ins', breakIn(running.machine)).expect(201);
    await closeMonth(own, MARCH ?? '');
    expect((await settlementOf(own, { siteId: running.site.id, startsOn: MARCH ?? '' })).totals).toMatchObject({ takings: usd('100.00'), tax: usd(tax) });
  } finally {
    await own.close();
  }
});
