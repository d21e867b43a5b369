import type { EvidenceLeaf } from '#contracts/evidence';
import type { TrialBalance } from '#contracts/journal';
import type { LateChange, Settlement, SettlementRow } from '#contracts/settlement';
import type { SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, readClose, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { accountsThatDoNotAddUp } from '#tests/support/office-life';
import { etag, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

const [FEBRUARY, MARCH, APRIL] = ['2026-02-01', '2026-03-01', '2026-04-01'] as const;
const REASON = 'Counted for the wrong site.';
let api: TestApi;
let operator: TestOperator;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  operator = api.operator;
  office = operator.as('bookkeeper');
});
afterEach(async () => expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]));

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

const collect = (running: Running, day: string, coin: string, more: object = {}): Promise<Made> =>
  makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day), ...more });
const settled = (running: Running, startsOn: string): Promise<Settlement> => settlementOf(api, { siteId: running.site.id, startsOn });
const lateChanges = async (): Promise<LateChange[]> => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items;
const reverse = (settlement: { id: string }, body: object = { reason: REASON }, as = office) => as.post(`/v1/settlements/${settlement.id}/reversal`, body);
const read = async (id: string, as = office): Promise<Settlement> => (await as.get(`/v1/settlements/${id}`).expect(200)).body as Settlement;
const fileOf = async ({ id }: { id: string }): Promise<string> => ((await office.get(`/v1/settlements/${id}/statement`).expect(200)).body as Buffer).toString('base64');
const monthEnd = async (startsOn: string) => (await office.get(`/v1/month-end?cycle=month&startsOn=${startsOn}`).expect(200)).body as { closeId: string; counts: Record<string, number> };

async function settle(running: Running, startsOn: string): Promise<Settlement> {
  expect((await issueMonth(api, (await closeMonth(api, startsOn)).id)).failures).toEqual([]);
  return settled(running, startsOn);
}

/** Settles a period of which the run was closed before. */
async function settleAnew(running: Running, startsOn: string): Promise<Settlement> {
  const { closeId } = await monthEnd(startsOn);
  expect((await settleMissing(api, closeId)).failures).toEqual([]);
  expect((await issueMonth(api, closeId)).failures).toEqual([]);
  return settled(running, startsOn);
}

async function balances(on = '2026-12-31'): Promise<Record<string, string>> {
  const { accounts } = (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as TrialBalance;
  return Object.fromEntries(accounts.filter(({ balance }) => Number(balance.amount) !== 0).map(({ code, balance }) => [code, balance.amount]));
}

it('takes back every balance, keeps number and statement, and says so in the history, the trail and the log', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00', { cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Kim at the bar' }] });
  const before = await balances();
  const issued = await settle(running, MARCH);
  const file = await fileOf(issued);
  expect(await balances()).not.toEqual(before);

  const reversed = (await reverse(issued).expect(200)).body as Settlement;
  expect(reversed).toEqual({
    ...issued,
    reversed: { at: expect.stringMatching(/^2026-05-02T/), accountingDate: '2026-03-31', by: expect.stringMatching(/^user:/), reason: REASON },
    history: [...issued.history, { kind: 'reversed', note: REASON, happenedAt: reversed.reversed?.at, happenedBy: reversed.reversed?.by, orderedBy: null }],
  });
  expect(await balances()).toEqual(before);
  expect(await balances('2026-03-31')).toEqual(before);
  expect(await fileOf(issued)).toBe(file);

  const trail = (await operator.as('auditor').get('/v1/audit-trail?kind=settlement_reversal').expect(200)).body as { items: object[] };
  expect(trail.items).toMatchObject([{ action: 'insert', actor: reversed.reversed?.by, after: { settlement_id: issued.id, reason: REASON, accounting_date: '2026-03-31' } }]);
  const { size } = (await office.get('/v1/evidence/head').expect(200)).body as { size: number };
  const leaf = (await office.get(`/v1/evidence/leaves/${size - 1}`).expect(200)).body as EvidenceLeaf;
  expect(leaf).toMatchObject({ kind: 'settlement-reversed', subjectId: issued.id });
  expect(JSON.parse(leaf.entry)).toMatchObject({ statementNumber: issued.number, accountingDate: '2026-03-31', reversedBy: reversed.reversed?.by });
  expect(leaf.entry).not.toContain(REASON);

  const items = (await office.get(`/v1/open-items?agreementId=${running.agreement.id}`).expect(200)).body as { items: object[] };
  expect(items.items).toMatchObject([{ settlementId: issued.id, state: 'reversed', open: usd('0.00') }]);
  const account = (await office.get(`/v1/sites/${running.site.id}/account?on=2026-05-02`).expect(200)).body as object;
  expect(JSON.stringify(account)).toContain('settlement-reversed');
  const journal = (await office.get('/v1/journal/entries?from=2026-03-31&to=2026-03-31').expect(200)).body as { items: object[] };
  expect(journal.items).toMatchObject([{ kind: 'settlement-issued' }, { kind: 'reversal', reference: issued.number, date: '2026-03-31' }]);
});

it('counts the period as unsettled again and settles it anew with what is known then, under a number of its own', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  const issued = await settle(running, MARCH);
  await collect(running, '2026-03-20', '50.00');
  expect(await lateChanges()).toHaveLength(1);
  await reverse(issued).expect(200);

  const { closeId, counts } = await monthEnd(MARCH);
  expect(counts).toMatchObject({ agreements: 1, issued: 0, failed: 0 });
  expect((await readClose(api, closeId)).progress).toMatchObject({ settled: 0, issued: 0, failed: 0 });
  const rows = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}`).expect(200)).body as { items: object[] };
  expect(rows.items).toMatchObject([{ state: 'ready', settlementId: null, reversedId: issued.id, takings: null }]);

  // What came in between is an ordinary count of the period, and no difference any more.
  await collect(running, '2026-03-25', '25.00');
  const { agreement, party } = running;
  await office
    .post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: MARCH, terms: plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' }), reason: 'Agreed by hand' })
    .set('If-Match', etag(agreement))
    .expect(201);
  const anew = await settleAnew(running, MARCH);
  expect(anew).toMatchObject({ state: 'issued', reversed: null, totals: { takings: usd('175.00'), siteShare: usd('87.50'), earlier: usd('0.00'), payable: usd('87.50') } });
  expect(anew.id).not.toBe(issued.id);
  expect(anew.number).not.toBe(issued.number);
  expect(new Set(anew.lines.map((line) => line.periodStartsOn))).toEqual(new Set([MARCH]));
  expect(await lateChanges()).toEqual([]);
  const list = (await office.get(`/v1/settlements?siteId=${running.site.id}`).expect(200)).body as { items: SettlementRow[] };
  expect(list.items.map(({ number, reversed }) => [number, reversed])).toEqual([[issued.number, true], [anew.number, false]]);
  expect((await monthEnd(MARCH)).counts).toMatchObject({ issued: 1 });
  const again = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}`).expect(200)).body as { items: object[] };
  expect(again.items).toMatchObject([{ state: 'issued', settlementId: anew.id, reversedId: null }]);

  await collect(running, '2026-04-10', '10.00');
  expect((await settle(running, APRIL)).totals).toMatchObject({ takings: usd('10.00'), earlier: usd('0.00') });
});

it('frees the changes after issue that it took in, and settles each once more by difference', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  await settle(running, MARCH);
  const late = await collect(running, '2026-03-20', '50.00', { cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Kim at the bar' }] });
  await collect(running, '2026-04-10', '10.00');
  const april = await settle(running, APRIL);
  const before = april.totals;
  expect([before.earlier, before.payable]).toEqual([usd('20.00'), usd('19.00')]);
  expect(await lateChanges()).toEqual([]);

  await reverse(april).expect(200);
  expect(await lateChanges()).toMatchObject([{ sourceId: late.id, startsOn: MARCH }]);
  const anew = await settleAnew(running, APRIL);
  expect(anew.totals).toEqual(before);
  expect(await lateChanges()).toEqual([]);
  // A second time, so that the marks of two rounds were in vain.
  await reverse(anew).expect(200);
  expect((await settleAnew(running, APRIL)).totals).toEqual(before);
});

it('settles cash handed over that was corrected after issue once, by what it is now', async () => {
  const running = await makeRunningSite(office);
  const collection = await collect(running, '2026-03-10', '100.00', { cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'Kim at the bar' }] });
  const issued = await settle(running, MARCH);
  expect(issued.totals.payable).toEqual(usd('35.00'));
  const [handed] = collection['cashHanded'] as { id: string }[];
  await operator.as('owner').post(`/v1/collections/${collection.id}/cash-handed-corrections`, { cashHandedId: handed?.id, amount: usd('8.00'), reason: 'A note was overlooked.' }).expect(200);
  expect((await lateChanges()).map(({ cause }) => cause)).toEqual(['handed']);
  await reverse(issued).expect(200);
  expect((await settleAnew(running, MARCH)).totals.payable).toEqual(usd('32.00'));
  expect(await lateChanges()).toEqual([]);
  await collect(running, '2026-04-10', '10.00');
  expect((await settle(running, APRIL)).totals.payable).toEqual(usd('4.00'));
});

it('is kept by the database, too: no change settled twice, nothing reversed before it is issued, no reversal taken back', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  await settle(running, MARCH);
  await collect(running, '2026-03-20', '50.00');
  await collect(running, '2026-04-10', '10.00');
  const { id: closeId } = await closeMonth(api, APRIL);
  const draft = await settled(running, APRIL);
  const insertReversal = (id: string) =>
    operator.inBooks((tx) =>
      tx.sql(`INSERT INTO settlement_reversal (tenant_id, id, settlement_id, accounting_date, reason, recorded_at, recorded_by) VALUES ($1, $2, $2, '2026-05-02', 'By hand', now(), $3)`, [tx.tenantId, id, tx.actor]),
    );
  await expect(insertReversal(draft.id)).rejects.toThrow('is not issued and cannot be reversed');
  await issueMonth(api, closeId);
  const markAgain = operator.inBooks((tx) => tx.sql('INSERT INTO late_change_settled (tenant_id, late_change_id, round, settlement_id) SELECT tenant_id, late_change_id, round + 1, settlement_id FROM late_change_settled'));
  await expect(markAgain).rejects.toThrow('is settled already');
  await reverse(draft).expect(200);
  await expect(insertReversal(draft.id)).rejects.toThrow('settlement_reversed_once');
  await expect(operator.inBooks((tx) => tx.sql('DELETE FROM settlement_reversal'))).rejects.toThrow('permission denied');
});

it('goes back further one settlement at a time, and gives what was carried back', async () => {
  const running = await makeRunningSite(office);
  const { agreement, party } = running;
  const charges = [{ id: 'rent', title: 'Rent', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: '100.00' }, rest: 'carry' }];
  await office
    .post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms: { ...plainTerms({ partyId: party.id }), charges }, reason: 'A rent' })
    .set('If-Match', etag(agreement))
    .expect(201);
  await collect(running, '2026-02-10', '60.00');
  await collect(running, '2026-03-10', '200.00');
  const before = await balances();
  const february = await settle(running, FEBRUARY);
  const march = await settle(running, MARCH);
  expect(march.totals.charges).toEqual(usd('140.00'));

  const refused = await reverse(february).expect(409);
  expect(refused.body).toMatchObject({ code: 'later-settlement-stands', detail: expect.stringContaining(march.number ?? '-') });
  await reverse(march).expect(200);
  await reverse(february).expect(200);
  expect(await balances()).toEqual(before);
  await collect(running, '2026-02-20', '40.00');
  // March waits for February, as it would have from the beginning.
  const { closeId } = await monthEnd(MARCH);
  expect((await settleMissing(api, closeId)).failures.map(({ code }) => code)).toEqual(['earlier-settlement-reversed']);
  expect((await settleAnew(running, FEBRUARY)).totals).toMatchObject({ takings: usd('100.00'), charges: usd('100.00') });
  expect((await settleAnew(running, MARCH)).totals).toMatchObject({ charges: usd('100.00'), siteShare: usd('40.00'), earlier: usd('0.00') });
});

it('refuses what is not issued, was reversed before, or is paid', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  const { id: closeId } = await closeMonth(api, MARCH);
  const draft = await settled(running, MARCH);
  expect((await reverse(draft).expect(403)).body).toMatchObject({ code: 'not-allowed-in-state' });
  await issueMonth(api, closeId);

  await collect(running, '2026-04-10', '10.00');
  const april = await closeMonth(api, APRIL);
  await issueMonth(api, april.id);
  const issuedInApril = await settled(running, APRIL);
  const paid = { agreementId: running.agreement.id, amount: usd('4.00'), method: 'bank', paidOn: '2026-05-02', settlements: [{ settlementId: issuedInApril.id }] };
  const payment = (await office.post('/v1/payments', paid).expect(201)).body as Made;
  expect((await reverse(issuedInApril).expect(409)).body).toMatchObject({ code: 'settlement-paid', detail: expect.stringContaining(issuedInApril.number ?? '-') });
  await office.post(`/v1/payments/${payment.id}/unmatch`, { note: 'Paid for another month.' }).expect(200);
  const items = (await office.get(`/v1/open-items?agreementId=${running.agreement.id}`).expect(200)).body as { items: { id: string; settlementId: string }[] };
  const item = items.items.find(({ settlementId }) => settlementId === issuedInApril.id)?.id ?? '';
  await operator.as('owner').post(`/v1/open-items/${item}/write-off`, { reason: 'Too small to pay out.' }).expect(200);
  expect((await reverse(issuedInApril).expect(409)).body).toMatchObject({ code: 'settlement-paid', detail: expect.stringContaining('written off') });
  await operator.as('owner').post(`/v1/open-items/${item}/undo-write-off`, { reason: 'Reversed instead.' }).expect(200);
  await reverse(issuedInApril).expect(200);
  expect((await reverse(issuedInApril).expect(409)).body).toMatchObject({ code: 'reversed-already' });
  // The money waits for another settlement, not for one that owes nothing.
  await office.post(`/v1/payments/${payment.id}/match`, { settlements: [{ settlementId: issuedInApril.id }] }).expect(422);
});

it('takes back the latest under a later draft, which then waits for the period to be settled again', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  const march = await settle(running, MARCH);
  await collect(running, '2026-04-10', '10.00');
  const { id: closeId } = await closeMonth(api, APRIL);
  const [reviewed] = [await settled(running, APRIL)];
  await operator.as('owner').post(`/v1/settlements/${reviewed.id}/review`).set('If-Match', etag(reviewed)).expect(200);
  await reverse(march).expect(200);
  await collect(running, '2026-03-20', '40.00');
  const issue = async () => (await issueMonth(api, closeId)).failures.map(({ code }) => code);
  expect(await issue()).toEqual(['cannot-be-settled']);
  await office.post(`/v1/settlements/${reviewed.id}/recompute`).expect(409);
  expect((await settleAnew(running, MARCH)).totals).toMatchObject({ takings: usd('140.00') });
  const recomputed = (await office.post(`/v1/settlements/${reviewed.id}/recompute`).expect(200)).body as Settlement;
  expect(recomputed.state).toBe('draft');
  expect(await issue()).toEqual([]);
  expect((await settled(running, APRIL)).totals).toMatchObject({ takings: usd('10.00'), earlier: usd('0.00') });
});

it('keeps the next period waiting for a reversed one, though nothing was collected in that', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-02-10', '100.00');
  await settle(running, FEBRUARY);
  await collect(running, '2026-02-20', '50.00');
  const march = await settle(running, MARCH);
  expect(march.totals).toMatchObject({ takings: usd('0.00'), earlier: usd('20.00') });
  await reverse(march).expect(200);
  await collect(running, '2026-04-10', '10.00');
  const { id } = await closeMonth(api, APRIL);
  expect((await readClose(api, id)).failures.map(({ code }) => code)).toEqual(['earlier-settlement-reversed']);
  expect((await settleAnew(running, MARCH)).totals).toMatchObject({ earlier: usd('20.00') });
  expect((await settleMissing(api, id)).failures).toEqual([]);
  expect((await settled(running, APRIL)).totals).toMatchObject({ takings: usd('10.00'), earlier: usd('0.00') });
});

it('names the reason when it is missing, and nobody but owner and bookkeeper may', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  const issued = await settle(running, MARCH);
  for (const body of [{}, { reason: '' }, { reason: '  ' }]) {
    expect((await reverse(issued, body).expect(400)).body).toMatchObject({ code: 'invalid-request', errors: [{ pointer: '#/reason' }] });
  }
  for (const role of ['reviewer', 'auditor', 'collector'] as const) await reverse(issued, undefined, operator.as(role)).expect(403);
  await reverse(issued, undefined, operator.as('owner')).expect(200);
});

it('frees a payment on account, which the settlement anew sets off again', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('15.00'), method: 'bank', paidOn: '2026-03-20', onAccount: true }).expect(201);
  const issued = await settle(running, MARCH);
  expect(issued.totals.payable).toEqual(usd('25.00'));
  await reverse(issued).expect(200);
  expect((await settleAnew(running, MARCH)).totals.payable).toEqual(usd('25.00'));
});

it('lets one of two win who reverse at the same moment', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-03-10', '100.00');
  const issued = await settle(running, MARCH);
  const answers = await Promise.all([reverse(issued), reverse(issued, undefined, operator.as('owner'))]);
  expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
});

it('leaves the base of the month’s tax and shows what was booked less', async () => {
  const running = await makeRunningSite(office);
  const areaId = running.site['taxAreaId'] as string;
  const document = {
    method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', negative: 'zero', capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State', ratePercent: '4.5' }],
  };
  await office.post(`/v1/tax-areas/${areaId}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented for this test.', document }).expect(201);
  await collect(running, '2026-03-10', '104.50');
  const issued = await settle(running, MARCH);
  const worksheet = async () => (await office.get(`/v1/tax-areas/${areaId}/worksheet?month=2026-03`).expect(200)).body as { booked: object; tax: object; next: string | null; digest: string };
  const { digest } = await worksheet();
  await office.post(`/v1/tax-areas/${areaId}/returns`, { month: '2026-03', filedOn: '2026-05-01', digest }).expect(201);
  expect(await worksheet()).toMatchObject({ tax: usd('4.50'), booked: usd('4.50'), next: null });
  await reverse(issued).expect(200);
  // The takings stay in the books, so the return stays right; what settlements booked for it does not.
  expect(await worksheet()).toMatchObject({ tax: usd('4.50'), booked: usd('0.00'), next: 'booking' });
  await settleAnew(running, MARCH);
  expect(await worksheet()).toMatchObject({ tax: usd('4.50'), booked: usd('4.50'), next: null });
});

it('shows the site that it was taken back, without names and reasons of the office', async () => {
  const running = await makeRunningSite(office, { site: { id: operator.siteId } });
  await collect(running, '2026-03-10', '100.00');
  const issued = await settle(running, MARCH);
  const file = await fileOf(issued);
  const { reversed } = (await reverse(issued).expect(200)).body as Settlement;
  const manager = operator.as('site-manager');
  const seen = await read(issued.id, manager);
  expect(seen.reversed).toEqual({ at: reversed?.at, accountingDate: '2026-03-31', by: 'operator', reason: null });
  expect(seen.history.map(({ kind, note, happenedBy }) => [kind, note, happenedBy])).toEqual([['issued', null, 'operator'], ['reversed', null, 'operator']]);
  expect(((await manager.get(`/v1/settlements/${issued.id}/statement`).expect(200)).body as Buffer).toString('base64')).toBe(file);
  expect((await manager.get('/v1/site-view').expect(200)).body).toMatchObject({ sites: [{ settlements: [] }] });
  const anew = await settleAnew(running, MARCH);
  expect((await manager.get('/v1/site-view').expect(200)).body).toMatchObject({ sites: [{ settlements: [{ id: anew.id }] }] });
});

describe('in the books of a month that is over', () => {
  /** What the books say at the end of each day: every balance, and what the site's account comes to. */
  async function booksAt(running: Running, days: readonly string[]): Promise<object[]> {
    const at: object[] = [];
    for (const day of days) {
      const account = (await office.get(`/v1/sites/${running.site.id}/account?on=${day}`).expect(200)).body as SiteAccount;
      const [own] = account.accounts;
      at.push({ balances: await balances(day), closing: own?.closing.amount, items: own?.items.map(({ open }) => open.amount) });
    }
    return at;
  }

  const days = ['2026-03-30', '2026-03-31', '2026-04-01', '2026-04-15', '2026-04-30', '2026-05-01', '2026-05-02'];

  it('has the reversal and the settlement made anew on the day of the first, so that no day holds both or neither', async () => {
    const running = await makeRunningSite(office);
    await collect(running, '2026-03-10', '100.00');
    const before = await booksAt(running, days);
    const issued = await settle(running, MARCH);
    expect(issued.accountingDate).toBe('2026-03-31');
    const settledOnce = await booksAt(running, days);
    expect(settledOnce.map((day) => (day as { closing: string }).closing)).toEqual(['0.00', ...Array<string>(6).fill('40.00')]);
    expect(((await reverse(issued).expect(200)).body as Settlement).reversed).toMatchObject({ accountingDate: '2026-03-31' });
    expect(await booksAt(running, days)).toEqual(before);
    expect((await settleAnew(running, MARCH)).accountingDate).toBe('2026-03-31');
    expect(await booksAt(running, days)).toEqual(settledOnce);
  });

  it('leaves a closed month its figures: the old one stands to the first open day, the new one from it on', async () => {
    const running = await makeRunningSite(office);
    await collect(running, '2026-03-10', '100.00');
    const issued = await settle(running, MARCH);
    const settledOnce = await booksAt(running, days);
    await operator.as('owner').post('/v1/journal/close', { month: '2026-04', reason: 'April is done.' }).expect(200);
    expect(((await reverse(issued).expect(200)).body as Settlement).reversed).toMatchObject({ accountingDate: '2026-05-01' });
    const anew = await settleAnew(running, MARCH);
    expect(anew.accountingDate).toBe('2026-05-01');
    expect(await booksAt(running, days)).toEqual(settledOnce);
  });

  it('stands as long as money was matched with it, and the next one made anew is no earlier either', async () => {
    const running = await makeRunningSite(office);
    await collect(running, '2026-03-10', '100.00');
    const march = await settle(running, MARCH);
    const payment = (await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('40.00'), method: 'bank', paidOn: '2026-04-20' }).expect(201)).body as Made;
    await office.post(`/v1/payments/${payment.id}/unmatch`, { note: 'Paid for another site.' }).expect(200);
    const settledOnce = await booksAt(running, days);
    await collect(running, '2026-04-10', '10.00');
    expect(((await reverse(march).expect(200)).body as Settlement).reversed).toMatchObject({ accountingDate: '2026-05-02' });
    expect((await settleAnew(running, MARCH)).accountingDate).toBe('2026-05-02');
    expect((await booksAt(running, days)).map((day) => (day as { items: object }).items)).toEqual(settledOnce.map((day) => (day as { items: object }).items));
    expect((await settle(running, APRIL)).accountingDate).toBe('2026-05-02');
    expect(await accountsThatDoNotAddUp({ operator, today: '2026-05-02' }, [{ ...running, machines: [] }], days)).toEqual([]);
  });
});
