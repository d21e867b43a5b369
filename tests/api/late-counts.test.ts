import type { LateChange, Settlement } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, etag, goByMeters, makeMachine, makePlacement, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

const [FEBRUARY, MARCH, APRIL] = ['2026-02-01', '2026-03-01', '2026-04-01'];
let api: TestApi;
let operator: TestOperator;
let office: TestClient;
// Three months are over at this moment, so that a session need not outlive them.
beforeEach(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  operator = api.operator;
  office = operator.as('bookkeeper');
});
afterEach(() => api?.close());

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

const collect = (running: Running, day: string, coin: string, more: object = {}): Promise<Made> =>
  makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day), ...more });

async function settleAndIssue(startsOn: string): Promise<void> {
  expect((await issueMonth(api, (await closeMonth(api, startsOn)).id)).progress.running).toBe(false);
}

const settled = (running: Running, startsOn: string): Promise<Settlement> => settlementOf(api, { siteId: running.site.id, startsOn });
const lateChanges = async (): Promise<LateChange[]> => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items;

const minor = (money: { amount: string }): bigint => BigInt(money.amount.replace('.', ''));

/** Everything that a site's settlements say in sum, differences included: what each party had in the end. */
async function sums(running: Running): Promise<Record<string, bigint>> {
  const totals: Record<string, bigint> = {};
  for (const startsOn of [FEBRUARY, MARCH, APRIL]) {
    const settlement = await settled(running, startsOn ?? '').catch(() => undefined);
    for (const line of settlement?.lines ?? []) {
      if (!['cash', 'tax', 'charge', 'share', 'payable'].includes(line.kind)) continue;
      const key = `${line.kind} ${line.party === running.party['name'] ? 'site' : (line.party ?? '')}`;
      totals[key] = (totals[key] ?? 0n) + minor(line.amount);
    }
  }
  return totals;
}

it('settles a count that comes after issue in the next settlement, and leaves the issued one alone', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-03-10', '100.00');
  await settleAndIssue(MARCH);
  const issued = await settled(site, MARCH);
  const file = ((await office.get(`/v1/settlements/${issued.id}/statement`).expect(200)).body as Buffer).toString('base64');

  const late = await collect(site, '2026-03-20', '50.00');
  expect(await lateChanges()).toMatchObject([{ siteId: site.site.id, startsOn: MARCH, cause: 'collection', sourceId: late.id }]);
  expect((await office.get(`/v1/month-end?cycle=month&startsOn=${APRIL}`).expect(200)).body).toMatchObject({ counts: { lateChanges: 1 } });

  await collect(site, '2026-04-10', '10.00');
  await settleAndIssue(APRIL);
  const next = await settled(site, APRIL);
  const block = next.lines.filter((line) => line.periodStartsOn === MARCH);
  expect(block.find((line) => line.kind === 'cash')).toMatchObject({ amount: usd('50.00'), why: { text: expect.stringContaining('Issued before: 100.00. Now: 150.00.') } });
  expect(next.totals).toMatchObject({ takings: usd('10.00'), siteShare: usd('4.00'), earlier: usd('20.00'), payable: usd('24.00') });
  expect(await lateChanges()).toEqual([]);

  expect(await settled(site, MARCH)).toEqual(issued);
  expect(((await office.get(`/v1/settlements/${issued.id}/statement`).expect(200)).body as Buffer).toString('base64')).toBe(file);
});

it('settles two late counts over two issued periods as if they had come on time', async () => {
  const [late, onTime] = [await makeRunningSite(office), await makeRunningSite(office)];
  for (const site of [late, onTime]) {
    const { agreement, party } = site;
    const charges = [{ id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '15.00' }, rest: 'carry' }];
    await office
      .post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms: { ...plainTerms({ partyId: party.id }), charges }, reason: 'A first call' })
      .set('If-Match', etag(agreement))
      .expect(201);
    await collect(site, '2026-01-30', '12.00', { accountingDate: '2026-02-01', accountingReason: 'Booked with February.' });
    await collect(site, '2026-02-10', '20.00');
    await collect(site, '2026-03-10', '310.55');
  }
  await collect(onTime, '2026-02-20', '77.77');
  await collect(onTime, '2026-03-25', '41.13');
  await settleAndIssue(FEBRUARY);
  await settleAndIssue(MARCH);
  await collect(late, '2026-03-25', '41.13');
  await collect(late, '2026-02-20', '77.77');
  for (const site of [late, onTime]) await collect(site, '2026-04-10', '99.01');
  await settleAndIssue(APRIL);

  const blocks = new Set((await settled(late, APRIL)).lines.map((line) => line.periodStartsOn));
  expect([...blocks]).toEqual([FEBRUARY, MARCH, APRIL]);
  expect(new Set((await settled(onTime, APRIL)).lines.map((line) => line.periodStartsOn))).toEqual(new Set([APRIL]));
  const inSum = await sums(late);
  expect(inSum['cash ']).toBe(56_046n);
  expect(inSum).toEqual(await sums(onTime));
});

it('settles again every issued period after the one that changed, because their carries did', async () => {
  const site = await makeRunningSite(office);
  const { agreement, party } = site;
  const charges = [{ id: 'rent', title: 'Rent', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: '100.00' }, rest: 'carry' }];
  await office
    .post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms: { ...plainTerms({ partyId: party.id }), charges }, reason: 'A rent' })
    .set('If-Match', etag(agreement))
    .expect(201);
  await collect(site, '2026-02-10', '60.00');
  await settleAndIssue(FEBRUARY);
  await collect(site, '2026-03-10', '200.00');
  await settleAndIssue(MARCH);
  // February's rest of 40.00 was carried into March; with 40.00 more in February nothing is.
  expect((await settled(site, MARCH)).totals).toMatchObject({ charges: usd('140.00'), siteShare: usd('24.00') });
  await collect(site, '2026-02-20', '40.00');
  await collect(site, '2026-04-10', '100.00');
  await settleAndIssue(APRIL);
  const lines = (await settled(site, APRIL)).lines;
  const sumOf = (startsOn: string, kind: string): bigint => lines.filter((line) => line.periodStartsOn === startsOn && line.kind === kind).reduce((sum, line) => sum + minor(line.amount), 0n);
  expect([sumOf(FEBRUARY ?? '', 'charge'), sumOf(MARCH ?? '', 'charge'), sumOf(MARCH ?? '', 'share')]).toEqual([4000n, -4000n, 4000n]);
});

it('settles a correction after issue by its difference', async () => {
  const site = await makeRunningSite(office);
  const first = (await collect(site, '2026-03-10', '100.00')) as Made & { counts: { id: string }[] };
  await settleAndIssue(MARCH);
  const correction = { countId: first.counts[0]?.id, coin: usd('90.00'), note: usd('0.00'), reason: 'A roll was counted twice.' };
  await operator.as('owner').post(`/v1/collections/${first.id}/corrections`, correction).expect(200);
  expect((await lateChanges()).map((change) => change.cause)).toEqual(['correction']);
  await collect(site, '2026-04-10', '100.00');
  await settleAndIssue(APRIL);
  expect((await settled(site, APRIL)).totals).toMatchObject({ earlier: usd('-4.00'), payable: usd('36.00') });
});

it('sets off cash that was handed over at a late collection once, in the settlement that takes it in', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-03-10', '100.00');
  await settleAndIssue(MARCH);
  await collect(site, '2026-03-20', '50.00', { cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Kim at the bar' }] });
  await collect(site, '2026-04-10', '100.00', { cashHanded: [{ amount: usd('7.00'), acknowledgedBy: 'Kim at the bar' }] });
  await settleAndIssue(APRIL);
  const settlement = await settled(site, APRIL);
  expect(settlement.lines.filter((line) => line.kind === 'payee-handed-cash').map((line) => line.amount.amount).sort()).toEqual(['-5.00', '-7.00']);
  expect(settlement.totals.payable).toEqual(usd('48.00'));
});

it('takes terms that are corrected backwards as a change of the issued period', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-03-10', '100.00');
  await settleAndIssue(MARCH);
  const terms = plainTerms({ partyId: site.party.id, operatorPercent: '50', sitePercent: '50' });
  await office
    .post(`/v1/agreements/${site.agreement.id}/versions`, { effectiveFrom: MARCH, terms, reason: 'Signed late', confirmRetroactive: true })
    .set('If-Match', etag(site.agreement))
    .expect(201);
  expect((await lateChanges()).map((change) => [change.startsOn, change.cause])).toEqual([[MARCH, 'terms']]);
  await collect(site, '2026-04-10', '100.00');
  await settleAndIssue(APRIL);
  expect((await settled(site, APRIL)).totals).toMatchObject({ siteShare: usd('50.00'), earlier: usd('10.00'), payable: usd('60.00') });
});

it('settles a count for a month in which nothing was collected at the time', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-02-10', '100.00');
  await settleAndIssue(FEBRUARY);
  await closeMonth(api, MARCH);
  await collect(site, '2026-04-10', '100.00');
  const april = await closeMonth(api, APRIL);
  await issueMonth(api, april.id);
  await collect(site, '2026-03-15', '30.00');
  expect((await lateChanges()).map((change) => change.startsOn)).toEqual([MARCH]);
  // Nothing can be settled in March any more.
  const { items } = (await office.get('/v1/closes?cycle=month').expect(200)).body as { items: { id: string; startsOn: string }[] };
  const march = items.find((close) => close.startsOn === MARCH);
  expect(failuresOf(await settleMissing(api, march?.id ?? ''))).toEqual([`${site.site['code'] as string} later-period-numbered`]);
});

it('takes late changes even where the next period has no count of its own', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-03-10', '100.00');
  await settleAndIssue(MARCH);
  await collect(site, '2026-03-20', '50.00');
  await settleAndIssue(APRIL);
  expect((await settled(site, APRIL)).totals).toMatchObject({ takings: usd('0.00'), earlier: usd('20.00'), payable: usd('20.00') });
});

it('pays an agreement that has ended what turns up later, in a settlement of its own', async () => {
  const site = await makeRunningSite(office);
  await collect(site, '2026-03-10', '100.00');
  await office.post(`/v1/placements/${site.placement.id}/end`, { removedOn: '2026-03-25' }).set('If-Match', etag(site.placement)).expect(200);
  const agreement = (await office.get(`/v1/agreements/${site.agreement.id}`).expect(200)).body as Made;
  await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-03-25' }).set('If-Match', etag(agreement)).expect(200);
  await settleAndIssue(MARCH);
  expect((await settled(site, MARCH)).kind).toBe('final');
  await collect(site, '2026-03-20', '50.00');
  await settleAndIssue(APRIL);
  expect(await settled(site, APRIL)).toMatchObject({ kind: 'supplementary', state: 'issued', totals: { earlier: usd('20.00'), payable: usd('20.00') } });
});

it('an older count that comes after a newer one takes its part of what the meters settled, and nothing is settled twice', async () => {
  const bar = await makeRunningSite(office);
  await goByMeters(office, bar);
  const { meterId } = await fitBoard(office, bar.machine.id, { fittedAt: '2026-02-01T12:00:00Z', meters: [meterFields({ value: '00100' })] });
  const read = (day: string, coin: string, value: string) => makeAcceptedCollection(office, bar.site, [count(bar.machine, coin, '0.00', { readings: [{ meterId, value }] })], { happenedAt: moment(day) });
  // What the box lacks until the older count is there is not what is looked at here.
  const rules = { name: 'Anything', currency: 'USD', effectiveOn: '2026-01-01', amount: usd('500.00'), joinedBy: 'or', percentOf: 'metered', outWhen: 'more-than' };
  await operator.as('owner').post('/v1/tolerance-rule-sets', rules).expect(201);
  // 400 quarters since the board was fitted, all of them in March.
  await read('2026-03-20', '50.00', '00500');
  await settleAndIssue(MARCH);
  expect((await settled(bar, MARCH)).totals).toMatchObject({ takings: usd('100.00') });
  // 200 of them were in the box in February already.
  const older = await read('2026-02-10', '50.00', '00300');
  expect((await lateChanges()).map(({ startsOn, cause, sourceId }) => [startsOn, cause, sourceId])).toEqual(
    expect.arrayContaining([[FEBRUARY, 'collection', older.id], [MARCH, 'correction', older.id]]),
  );
  await read('2026-04-10', '25.00', '00600');
  await settleAndIssue(APRIL);
  const next = await settled(bar, APRIL);
  // February gains 50.00, March loses them: 40 percent of nothing.
  expect(next.totals).toMatchObject({ takings: usd('25.00'), siteShare: usd('10.00'), earlier: usd('0.00') });
  expect(await lateChanges()).toEqual([]);
  expect((await sums(bar))['payable site']).toBe(5_000n);
});

it('a box that was opened and never counted is named, and its count put right in the books, against its meters and in the settlement', async () => {
  const bar = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: bar.site.id });
  const { meterId } = await fitBoard(office, second.id, { fittedAt: '2026-02-01T12:00:00Z', meters: [meterFields({ value: '00100' })] });
  const visit = await collect(bar, '2026-03-10', '100.00');
  // As an earlier version accepted it: the second box was read, and nobody said what was in it.
  await onConnection(api.db.urls.superuser, async (client) => {
    await client.query(`SELECT set_config('app.tenant', $1, false), set_config('app.actor', 'system:test', false)`, [operator.tenantId]);
    await client.query(
      `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_again, recorded_at, recorded_by)
       SELECT c.tenant_id, gen_random_uuid(), m.id, m.machine_id, m.capacity, c.happened_at, 'only', 'collection', c.id, 300, false, c.happened_at, 'system:test'
         FROM collection c JOIN meter m ON m.tenant_id = c.tenant_id AND m.id = $2 WHERE c.id = $1`,
      [visit.id, meterId],
    );
  });
  await settleAndIssue(MARCH);
  const tag = second['tag'] as string;
  const uncounted = async () => ((await operator.as('reviewer').get(`/v1/uncounted-boxes?collectionId=${visit.id}`).expect(200)).body as { items: object[] }).items;
  expect(await uncounted()).toEqual([{ collectionId: visit.id, siteCode: bar.site['code'], localDate: '2026-03-10', machineTag: tag, evidence: 'read' }]);

  const enter = (client: TestClient, more: object = {}) => client.post(`/v1/collections/${visit.id}/late-counts`, { machineTag: tag, coin: usd('30.00'), note: usd('0.00'), reason: 'Its bag lay in the safe.', ...more });
  expect((await enter(office).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const owner = operator.as('owner');
  expect(errorsOf(await enter(owner, { machineTag: bar.machine['tag'] }).expect(422))).toEqual(['#/machineTag not-uncounted']);
  expect(errorsOf(await enter(owner, { coin: { amount: '1.00', currency: 'EUR' } }).expect(422))).toEqual(['#/coin/currency other-currency']);
  expect((await enter(owner).expect(201)).body).toMatchObject({ counted: usd('130.00'), counts: [{ late: false }, { machineTag: tag, coin: usd('30.00'), late: true, reason: 'Its bag lay in the safe.' }] });
  expect(await uncounted()).toEqual([]);
  expect(errorsOf(await enter(owner).expect(422))).toEqual(['#/machineTag not-uncounted']);
  // 200 quarters are 50.00.
  expect((await operator.as('reviewer').get(`/v1/collections/${visit.id}/variances`).expect(200)).body).toMatchObject({ items: [{ machineTag: tag, expected: usd('50.00'), counted: usd('30.00'), variance: usd('-20.00') }] });
  expect(await lateChanges()).toMatchObject([{ startsOn: MARCH, cause: 'correction' }]);
  expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  await collect(bar, '2026-04-10', '10.00');
  await settleAndIssue(APRIL);
  expect((await settled(bar, APRIL)).totals).toMatchObject({ siteShare: usd('4.00'), earlier: usd('12.00') });
});
