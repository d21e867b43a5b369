import { randomUUID } from 'node:crypto';
import type { CashlessTaking } from '#contracts/cashless';
import type { TrialBalance } from '#contracts/journal';
import type { LateChange } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, etag, makeMachine, makePlacement, makeRunningSite, makeSite, plainTerms, type Made } from '#tests/support/set-up';

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

const report = (machine: Made, localDate: string, gross: string, more: object = {}) => ({ id: randomUUID(), machineTag: machine['tag'], localDate, gross: usd(gross), ...more });
const record = (...reports: object[]) => office.post('/v1/cashless-takings', { reports });
const listOf = async (site: Made): Promise<CashlessTaking[]> => ((await office.get(`/v1/cashless-takings?siteId=${site.id}`).expect(200)).body as { items: CashlessTaking[] }).items;

it('records reports once, however often they are sent, and shows them the latest first', async () => {
  const { site, machine } = await makeRunningSite(office);
  const [first, second] = [report(machine, '2026-03-10', '25.00', { refunded: usd('5.00') }), report(machine, '2026-03-11', '7.50')];
  expect((await record(first).expect(201)).body).toEqual({ recorded: 1, known: 0 });
  expect((await record(first, second).expect(201)).body).toEqual({ recorded: 1, known: 1 });
  expect(await listOf(site)).toMatchObject([
    { id: second.id, localDate: '2026-03-11', accountingDate: '2026-03-11', gross: usd('7.50'), refunded: usd('0.00'), machineTag: machine['tag'], replacesId: null, replacedById: null },
    { id: first.id, gross: usd('25.00'), refunded: usd('5.00') },
  ]);
  const other = await record({ ...first, gross: usd('26.00') }).expect(409);
  expect(errorsOf(other)).toEqual(['#/reports/0/id taken']);
});

it('pages through the list', async () => {
  const { site, machine } = await makeRunningSite(office);
  await record(...['2026-03-10', '2026-03-11', '2026-03-12'].map((day) => report(machine, day, '1.00'))).expect(201);
  const first = (await office.get(`/v1/cashless-takings?siteId=${site.id}&limit=2`).expect(200)).body as { items: CashlessTaking[]; next: string };
  const second = (await office.get(`/v1/cashless-takings?siteId=${site.id}&limit=2&cursor=${first.next}`).expect(200)).body as { items: CashlessTaking[]; next: null };
  expect([...first.items, ...second.items].map((each) => each.localDate)).toEqual(['2026-03-12', '2026-03-11', '2026-03-10']);
  const narrowed = await office.get(`/v1/cashless-takings?machineId=${machine.id}&from=2026-03-11&before=2026-03-12`).expect(200);
  expect((narrowed.body as { items: CashlessTaking[] }).items.map((each) => each.localDate)).toEqual(['2026-03-11']);
  await office.get('/v1/cashless-takings?cursor=nonsense').expect(400);
});

describe('refuses', () => {
  let running: Awaited<ReturnType<typeof makeRunningSite>>;
  beforeAll(async () => {
    running = await makeRunningSite(office);
  });

  it.each<[string, (machine: Made) => object, string, number]>([
    ['an amount below zero', (machine) => report(machine, '2026-03-10', '-1.00'), '#/reports/0/gross/amount negative', 400],
    ['a refund below zero', (machine) => report(machine, '2026-03-10', '1.00', { refunded: usd('-1.00') }), '#/reports/0/refunded/amount negative', 400],
    ['more digits than the currency has', (machine) => report(machine, '2026-03-10', '1.001'), '#/reports/0/gross/amount wrong-digits', 400],
    ['an amount beyond any', (machine) => report(machine, '2026-03-10', '99999999999999999.00'), '#/reports/0/gross/amount too-large', 400],
    ['a day that does not exist', (machine) => report(machine, '2026-02-30', '1.00'), '#/reports/0/localDate wrong-format', 400],
    ['neither day nor collection', (machine) => ({ ...report(machine, '2026-03-10', '1.00'), localDate: undefined }), '#/reports/0/localDate one-of-two', 400],
    ['machine and placement at once', (machine) => report(machine, '2026-03-10', '1.00', { placementId: randomUUID() }), '#/reports/0/machineTag one-of-two', 400],
    ['another currency', (machine) => ({ ...report(machine, '2026-03-10', '1.00'), gross: { amount: '1.00', currency: 'EUR' } }), '#/reports/0/gross/currency other-currency', 422],
    ['an unknown machine', (machine) => ({ ...report(machine, '2026-03-10', '1.00'), machineTag: 'NO-SUCH' }), '#/reports/0/machineTag unknown-machine', 422],
    ['an unknown placement', (machine) => ({ ...report(machine, '2026-03-10', '1.00'), machineTag: undefined, placementId: randomUUID() }), '#/reports/0/placementId unknown', 422],
    ['a day before the machine stood anywhere', (machine) => report(machine, '2024-12-31', '1.00'), '#/reports/0/machineTag not-placed-here', 422],
    ['a day that has not come', (machine) => report(machine, '2026-05-03', '1.00'), '#/reports/0/localDate in-the-future', 422],
    ['an unknown collection', (machine) => ({ ...report(machine, '2026-03-10', '1.00'), localDate: undefined, collectionId: randomUUID() }), '#/reports/0/collectionId unknown', 422],
  ])('%s', async (_what, body, expected, status) => {
    expect(errorsOf(await record(body(running.machine)).expect(status))).toEqual([expected]);
  });

  it('a second report of a day, in the list and afterwards, and an id twice', async () => {
    const { machine } = await makeRunningSite(office);
    const first = report(machine, '2026-03-10', '1.00');
    expect(errorsOf(await record(first, report(machine, '2026-03-10', '2.00')).expect(409))).toEqual(['#/reports/1/localDate reported-already']);
    expect(errorsOf(await record(first, { ...report(machine, '2026-03-11', '2.00'), id: first.id }).expect(422))).toEqual(['#/reports/1/id twice']);
    await record(first).expect(201);
    expect(errorsOf(await record(report(machine, '2026-03-10', '2.00')).expect(409))).toEqual(['#/reports/0/localDate reported-already']);
  });

  it('a day on which no agreement holds', async () => {
    const site = await makeSite(office);
    const machine = await makeMachine(office);
    await makePlacement(office, { machineId: machine.id, siteId: site.id });
    const answer = await record(report(machine, '2026-03-10', '1.00')).expect(422);
    expect((answer.body as { code: string }).code).toBe('no-agreement');
    expect(errorsOf(answer)).toEqual(['#/reports/0/localDate no-agreement']);
  });

  it('a collection where the terms book by day, and a day where they book by collection', async () => {
    const { site, machine } = running;
    const visit = await makeCollection(office, site, [count(machine)], { happenedAt: moment('2026-03-18') });
    const byVisit = { id: randomUUID(), machineTag: machine['tag'], collectionId: visit.id, gross: usd('1.00') };
    expect(errorsOf(await record(byVisit).expect(422))).toEqual(['#/reports/0/collectionId booked-by-day']);
    const other = await makeRunningSite(office);
    const terms = { ...plainTerms({ partyId: other.party.id }), cashless: 'by-collection' };
    await office.post(`/v1/agreements/${other.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'By collection' }).set('If-Match', etag(other.agreement)).expect(201);
    expect(errorsOf(await record(report(other.machine, '2026-03-10', '1.00')).expect(422))).toEqual(['#/reports/0/localDate booked-by-collection']);
    // This machine did not stand where the visit was.
    expect(errorsOf(await record({ ...byVisit, machineTag: other.machine['tag'] }).expect(422))).toEqual(['#/reports/0/machineTag not-placed-here']);
    const own = await makeCollection(office, other.site, [count(other.machine)], { happenedAt: moment('2026-03-19'), accountingDate: '2026-02-28', accountingReason: 'The round of February' });
    const report2 = { id: randomUUID(), machineTag: other.machine['tag'], collectionId: own.id, gross: usd('1.00') };
    await record(report2).expect(201);
    expect(await listOf(other.site)).toMatchObject([{ collectionId: own.id, localDate: '2026-03-19', accountingDate: '2026-02-28' }]);
    expect(errorsOf(await record({ ...report2, id: randomUUID() }).expect(409))).toEqual(['#/reports/0/collectionId reported-already']);
  });
});

describe('a machine that is moved', () => {
  it('takes for where it stands afterwards, unless the placement is named, and keeps the days of its reports', async () => {
    const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
    await record(report(from.machine, '2026-03-12', '4.00')).expect(201);
    const early = await office.post(`/v1/placements/${from.placement.id}/end`, { removedOn: '2026-03-11' }).expect(422);
    expect(errorsOf(early)).toEqual(['#/removedOn reported-later']);
    await office.post(`/v1/placements/${from.placement.id}/move`, { movedOn: '2026-03-20', siteId: to.site.id }).expect(201);
    await record(report(from.machine, '2026-03-20', '6.00'), { ...report(from.machine, '2026-03-20', '5.00'), machineTag: undefined, placementId: from.placement.id }).expect(201);
    expect((await listOf(to.site)).map((each) => each.gross.amount)).toEqual(['6.00']);
    expect((await listOf(from.site)).map((each) => each.gross.amount)).toEqual(['5.00', '4.00']);
  });

  it('does not leave an agreement that would end before its reports', async () => {
    const { machine, agreement } = await makeRunningSite(office);
    await record(report(machine, '2026-03-12', '4.00')).expect(201);
    expect(errorsOf(await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-03-12' }).expect(422))).toEqual(['#/endedOn reported-later']);
  });
});

describe('a correction', () => {
  it('stands in the place of the first figure, made by somebody else', async () => {
    const { site, machine } = await makeRunningSite(office);
    const first = report(machine, '2026-03-10', '25.00');
    await record(first).expect(201);
    const body = { gross: usd('20.00'), refunded: usd('2.00'), reason: 'The reader sent it twice.' };
    expect((await office.post(`/v1/cashless-takings/${first.id}/corrections`, body).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    const owner = operator.as('owner');
    const corrected = (await owner.post(`/v1/cashless-takings/${first.id}/corrections`, body).expect(201)).body as CashlessTaking;
    expect(corrected).toMatchObject({ gross: usd('20.00'), refunded: usd('2.00'), replacesId: first.id, reason: body.reason, recordedBy: `user:${owner.id}` });
    expect((await listOf(site)).find((each) => each.id === first.id)).toMatchObject({ gross: usd('25.00'), replacedById: corrected.id });
    expect((await owner.post(`/v1/cashless-takings/${first.id}/corrections`, body).expect(409)).body).toMatchObject({ code: 'wrong-state' });
    const euros = { ...body, gross: { amount: '1.00', currency: 'EUR' } };
    expect(errorsOf(await office.post(`/v1/cashless-takings/${corrected.id}/corrections`, euros).expect(422))).toEqual(['#/gross/currency other-currency']);
    expect(errorsOf(await office.post(`/v1/cashless-takings/${corrected.id}/corrections`, { ...body, id: first.id }).expect(409))).toEqual(['#/id taken']);
    await office.post(`/v1/cashless-takings/${randomUUID()}/corrections`, body).expect(404);
  });
});

describe('a file', () => {
  const upload = (lines: string[], query = '') => office.send('POST', `/v1/cashless-takings/file${query}`).set('Content-Type', 'text/csv').send(lines.join('\n'));

  it('records its lines once, however often it is sent', async () => {
    const { site, machine } = await makeRunningSite(office);
    const tag = machine['tag'] as string;
    const lines = ['machine,day,gross,refunded,currency', `${tag},2026-03-10,25.00,5,USD`, `${tag.toLowerCase()},2026-03-11,7.5,,`];
    expect((await upload(lines).expect(201)).body).toEqual({ recorded: 2, known: 0 });
    expect((await upload([...lines, `${tag},2026-03-12,1,,`]).expect(201)).body).toEqual({ recorded: 1, known: 2 });
    expect((await listOf(site)).map((each) => [each.localDate, each.gross.amount, each.refunded.amount])).toEqual([
      ['2026-03-12', '1.00', '0.00'],
      ['2026-03-11', '7.50', '0.00'],
      ['2026-03-10', '25.00', '5.00'],
    ]);
    expect((await upload(['machine;day;gross', `${tag};2026-03-13;2,50`], '?decimalMark=,').expect(201)).body).toEqual({ recorded: 1, known: 0 });
    expect(errorsOf(await upload(['machine,day,gross', `${tag},2026-03-10,26.00`]).expect(409))).toEqual(['#/lines/2/day reported-already']);
    await record(report(machine, '2026-03-20', '1.00')).expect(201);
    expect(errorsOf(await upload(['machine,day,gross', `${tag},2026-03-21,1`, `${tag},2026-03-20,1`]).expect(409))).toEqual(['#/lines/3/day reported-already']);
  });

  it('answers a repeated key with what the first one got, and refuses it for another file of the same length', async () => {
    const { machine } = await makeRunningSite(office);
    const tag = machine['tag'] as string;
    const send = (gross: string) => upload(['machine,day,gross', `${tag},2026-03-10,${gross}`]).set('Idempotency-Key', `file-${tag}`);
    expect((await send('1.00').expect(201)).body).toEqual({ recorded: 1, known: 0 });
    const again = await send('1.00').expect(201);
    expect([again.body, again.headers['idempotency-replayed']]).toEqual([{ recorded: 1, known: 0 }, 'true']);
    expect((await send('2.00').expect(422)).body).toMatchObject({ code: 'idempotency-key-reused' });
  });

  it('is recorded whole or not at all, and names line and column of each error', async () => {
    const { site, machine } = await makeRunningSite(office);
    const tag = machine['tag'] as string;
    const refused = await upload(['machine,day,gross,refunded,currency', `${tag},2026-03-10,1,,`, `NO-SUCH,2026-03-10,1,,`, `${tag},2024-12-31,1,,`, `${tag},2026-05-03,1,,`, `${tag},2026-03-11,-1,,`, `${tag},2026-03-12,1.001,x,EUR`]).expect(422);
    expect(errorsOf(refused)).toEqual([
      '#/lines/3/machine unknown-machine',
      '#/lines/4/machine not-placed-here',
      '#/lines/5/day in-the-future',
      '#/lines/6/gross negative-amount',
      '#/lines/7/currency other-currency',
      '#/lines/7/gross too-many-digits',
      '#/lines/7/refunded not-an-amount',
    ]);
    expect(errorsOf(await upload(['machine,day,gross', `${tag},2026-02-30,`]).expect(422))).toEqual(['#/lines/2/gross cell-missing', '#/lines/2/day not-a-date']);
    expect(errorsOf(await upload(['machine,day,gross', `${tag},2026-03-10,1`, `${tag},2026-03-10,2`]).expect(422))).toEqual(['#/lines/3/day reported-already']);
    expect(errorsOf(await upload(['machine,date,gross', 'x']).expect(422))).toEqual(['date unknown-column', 'day column-missing']);
    await upload(['machine,day,gross']).expect(422);
    expect(await listOf(site)).toEqual([]);
  });
});

describe('in the settlement', () => {
  it('are takings of their day, late ones settled by difference, and stand as receivable in the journal', async () => {
    const own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
    try {
      const clerk = own.operator.as('bookkeeper');
      const { site, machine } = await makeRunningSite(clerk);
      await makeAcceptedCollection(clerk, site, [count(machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
      const first = report(machine, '2026-03-31', '50.00', { refunded: usd('10.00') });
      await clerk.post('/v1/cashless-takings', { reports: [first] }).expect(201);
      await issueMonth(own, (await closeMonth(own, MARCH ?? '')).id);
      const march = await settlementOf(own, { siteId: site.id, startsOn: MARCH ?? '' });
      expect(march.totals).toMatchObject({ takings: usd('140.00'), siteShare: usd('56.00') });
      expect(march.lines.find((line) => line.kind === 'cashless')).toMatchObject({
        amount: usd('40.00'),
        machineTag: machine['tag'],
        why: { inputs: [{ label: expect.stringContaining('31 March 2026') as string, value: '40.00' }] },
      });
      const receivable = async (): Promise<string | undefined> => {
        const { accounts } = (await clerk.get('/v1/journal/trial-balance?on=2026-12-31').expect(200)).body as TrialBalance;
        return accounts.find(({ code }) => code === 'card-receivable')?.balance.amount;
      };
      expect(await receivable()).toBe('40.00');

      const late = report(machine, '2026-03-30', '20.00');
      await clerk.post('/v1/cashless-takings', { reports: [late] }).expect(201);
      const correction = { gross: usd('45.00'), refunded: usd('10.00'), reason: 'One payment was returned.' };
      const corrected = (await own.operator.as('owner').post(`/v1/cashless-takings/${first.id}/corrections`, correction).expect(201)).body as CashlessTaking;
      const { items } = (await clerk.get('/v1/late-changes').expect(200)).body as { items: LateChange[] };
      expect(items.map((change) => [change.startsOn, change.cause, change.sourceId])).toEqual([[MARCH, 'cashless', late.id], [MARCH, 'correction', corrected.id]]);
      await clerk.post('/v1/cashless-takings', { reports: [report(machine, '2026-04-02', '10.00')] }).expect(201);
      await issueMonth(own, (await closeMonth(own, APRIL ?? '')).id);
      // (20.00 - 5.00) of March and 10.00 of April, 40 percent each.
      expect((await settlementOf(own, { siteId: site.id, startsOn: APRIL ?? '' })).totals).toMatchObject({ takings: usd('10.00'), earlier: usd('6.00'), payable: usd('10.00') });
      expect(await receivable()).toBe('65.00');
      expect(((await clerk.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items).toEqual([]);
    } finally {
      await own.close();
    }
  });

  it('keep a later period from being settled before theirs', async () => {
    const own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
    try {
      const clerk = own.operator.as('bookkeeper');
      const { site, machine } = await makeRunningSite(clerk);
      await clerk.post('/v1/cashless-takings', { reports: [report(machine, '2026-03-10', '50.00')] }).expect(201);
      expect((await clerk.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}`).expect(200)).body).toMatchObject({ items: [{ siteCode: site['code'], state: 'ready' }] });
      expect((await closeMonth(own, APRIL ?? '')).failures).toMatchObject([{ code: 'earlier-takings-unsettled' }]);
    } finally {
      await own.close();
    }
  });
});
