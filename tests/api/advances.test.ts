import type { Advance } from '#contracts/advance';
import type { SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth, reviewMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, etag, makeParty, makeRunningSite, makeSite, plainTerms } from '#tests/support/set-up';

let api: TestApi;
let operator: TestOperator;
let office: TestClient;
let owner: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  operator = api.operator;
  office = operator.as('bookkeeper');
  owner = operator.as('owner');
});
afterEach(async () => expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]));

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

/** A site whose advances are worked off with half of its share of 40 %. */
async function siteWithRecoup(site: object = {}): Promise<Running> {
  const running = await makeRunningSite(office, { site });
  const terms = { ...plainTerms({ partyId: running.party.id }), advances: { kind: 'percentage', percent: '50' } };
  const body = { effectiveFrom: '2026-01-01', terms, reason: 'With advances' };
  await office.post(`/v1/agreements/${running.agreement.id}/versions`, body).set('If-Match', etag(running.agreement)).expect(201);
  return running;
}

const request = (running: Running, more: object = {}) => ({
  agreementId: running.agreement.id,
  amount: usd('100.00'),
  method: 'bank',
  document: 'ADV-1',
  reason: 'A new bar counter.',
  givenOn: '2026-02-01',
  ...more,
});
const give = async (running: Running, more: object = {}): Promise<Advance> => (await office.post('/v1/advances', request(running, more)).expect(201)).body as Advance;
const payBack = (advance: Advance, more: object = {}) => office.post(`/v1/advances/${advance.id}/pay-back`, { method: 'bank', paidOn: '2026-04-20', ...more });
const writeOff = (advance: Advance, more: object = {}) => owner.post(`/v1/advances/${advance.id}/write-off`, { reason: 'The bar is gone.', ...more });
const read = async (advance: Advance): Promise<Advance> => (await office.get(`/v1/advances/${advance.id}`).expect(200)).body as Advance;
const stepsOf = (advance: Advance): string[] => advance.history.map(({ on, kind, amount, balance }) => `${on} ${kind} ${amount.amount} ${balance.amount}`);
const codeOf = (answer: { body: unknown }): string => (answer.body as { code: string }).code;

const take = (running: Running, day: string) => makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment(day) });

/** Takings of 100.00 in a month, settled and issued. */
async function issue(running: Running, startsOn: string): Promise<string> {
  await take(running, `${startsOn.slice(0, 8)}10`);
  return (await issueMonth(api, (await closeMonth(api, startsOn)).id)).id;
}

async function balances(on: string): Promise<Record<string, string>> {
  const { accounts } = (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as { accounts: { code: string; balance: { amount: string } }[] };
  return Object.fromEntries(accounts.map(({ code, balance }) => [code.split(':')[0], balance.amount]));
}

it('is worked off by settlements as the terms say, month after month, until it is closed', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running, { amount: usd('30.00') });
  expect(advance).toMatchObject({ state: 'open', amount: usd('30.00'), open: usd('30.00'), partyId: running.party.id, reason: 'A new bar counter.', document: 'ADV-1' });
  expect(await balances('2026-02-01')).toMatchObject({ 'advance-to-payee': '30.00', bank: '-30.00' });
  await issue(running, '2026-02-01');
  const february = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-02-01' });
  expect(february.totals.payable).toEqual(usd('20.00'));
  expect(february.lines.find(({ kind }) => kind === 'payee-advance')?.amount).toEqual(usd('-20.00'));
  await issue(running, '2026-03-01');
  // Half of the share would be 20.00, and 10.00 are open.
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' })).totals.payable).toEqual(usd('30.00'));
  const closed = await read(advance);
  expect(closed).toMatchObject({ state: 'closed', open: usd('0.00') });
  expect(stepsOf(closed)).toEqual(['2026-02-01 given 30.00 30.00', '2026-02-28 recouped -20.00 10.00', '2026-03-31 recouped -10.00 0.00']);
  await issue(running, '2026-04-01');
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-04-01' })).totals.payable).toEqual(usd('40.00'));
  expect(await balances('2026-02-28')).toMatchObject({ 'advance-to-payee': '10.00' });
  expect(await balances('2026-04-30')).toMatchObject({ 'advance-to-payee': '0.00' });

  const listed = async (query: string) => ((await office.get(`/v1/advances?siteId=${running.site.id}&${query}`).expect(200)).body as { items: Advance[] }).items;
  expect((await listed('on=2026-03-30')).map(({ open, state }) => `${open.amount} ${state}`)).toEqual(['10.00 open']);
  expect(await listed('on=2026-01-31')).toEqual([]);
  expect(await listed('state=open')).toEqual([]);
  expect(await listed('state=closed')).toHaveLength(1);
  const account = ((await office.get(`/v1/sites/${running.site.id}/account?on=2026-02-28`).expect(200)).body as SiteAccount).accounts[0];
  expect(account).toMatchObject({ madeOf: { openItems: usd('20.00'), advances: usd('-10.00') }, closing: usd('10.00') });
  expect(account?.lines.map(({ kind, amount }) => `${kind} ${amount.amount}`)).toEqual(['advance-given -30.00', 'settlement 40.00']);
});

it('waits for the period in which it was given, and where the terms have no rule for it', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running, { givenOn: '2026-03-01' });
  await issue(running, '2026-02-01');
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-02-01' })).totals.payable).toEqual(usd('40.00'));
  const other = await makeRunningSite(office);
  const untouched = await give(other);
  await take(other, '2026-03-10');
  await issue(running, '2026-03-01');
  expect(await read(untouched)).toMatchObject({ open: usd('100.00') });
  expect(await read(advance)).toMatchObject({ open: usd('80.00') });
});

it('is paid back outside a settlement and written off by the owner, with the journal on each day', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running);
  await issue(running, '2026-02-01');
  expect((await payBack(advance, { amount: usd('50.00'), document: 'R-7' }).expect(200)).body).toMatchObject({ state: 'open', open: usd('30.00') });
  expect(await balances('2026-04-20')).toMatchObject({ 'advance-to-payee': '30.00', bank: '-50.00' });
  const closed = (await writeOff(advance, { accountingDate: '2026-04-30' }).expect(200)).body as Advance;
  expect(closed).toMatchObject({ state: 'closed', open: usd('0.00') });
  expect(stepsOf(closed).slice(2)).toEqual(['2026-04-20 paid-back -50.00 30.00', '2026-04-30 written-off -30.00 0.00']);
  expect(await balances('2026-04-30')).toMatchObject({ 'advance-to-payee': '0.00', 'written-off': '30.00' });
  const account = ((await office.get(`/v1/sites/${running.site.id}/account?on=2026-05-02`).expect(200)).body as SiteAccount).accounts[0];
  expect(account?.lines.map(({ kind, amount }) => `${kind} ${amount.amount}`)).toEqual([
    'advance-given -100.00',
    'settlement 40.00',
    'advance-paid-back 50.00',
    'advance-written-off 30.00',
  ]);
  expect(account).toMatchObject({ closing: usd('20.00'), madeOf: { advances: usd('0.00') } });
  // Closed: nothing more is taken off.
  expect(codeOf(await payBack(advance, { amount: usd('1.00') }).expect(409))).toBe('wrong-state');
  expect(codeOf(await writeOff(advance).expect(409))).toBe('wrong-state');
});

it('is open again when the settlement that worked it off is reversed', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running, { amount: usd('20.00') });
  const closeId = await issue(running, '2026-02-01');
  expect(await read(advance)).toMatchObject({ state: 'closed' });
  const february = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-02-01' });
  await office.post(`/v1/settlements/${february.id}/reversal`, { reason: 'Wrong terms.' }).expect(200);
  // The steps of one day stand in the order in which they were recorded.
  expect(stepsOf(await read(advance))).toEqual(['2026-02-01 given 20.00 20.00', '2026-02-28 recouped -20.00 0.00', '2026-02-28 recoup-reversed 20.00 20.00']);
  expect(await balances('2026-02-28')).toMatchObject({ 'advance-to-payee': '20.00' });
  await payBack(advance, { amount: usd('5.00') }).expect(200);
  await settleMissing(api, closeId);
  await issueMonth(api, closeId);
  expect(await read(advance)).toMatchObject({ state: 'closed', open: usd('0.00') });
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-02-01' })).totals.payable).toEqual(usd('25.00'));
});

it('makes a reviewed settlement stale when it is paid back meanwhile', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running);
  await take(running, '2026-02-10');
  const close = await closeMonth(api, '2026-02-01');
  await reviewMonth(api, close.id);
  await payBack(advance).expect(200);
  const issued = await issueMonth(api, close.id);
  expect(failuresOf(issued)).toHaveLength(1);
  expect(issued.failures[0]?.message).toMatch(/advances/);
  expect(await read(advance)).toMatchObject({ state: 'closed' });
});

it('refuses an advance with the field and the reason', async () => {
  const running = await siteWithRecoup();
  const refusals = async (more: object): Promise<string[]> => errorsOf(await office.post('/v1/advances', request(running, more)).expect(422));
  expect(await refusals({ agreementId: '01890000-0000-7000-8000-000000000001' })).toEqual(['#/agreementId unknown']);
  expect(await refusals({ partyId: (await makeParty(office)).id })).toEqual(['#/partyId no-payee']);
  expect(await refusals({ amount: { amount: '5.00', currency: 'EUR' } })).toEqual(['#/amount/currency other-currency']);
  expect(await refusals({ givenOn: '2026-05-03' })).toEqual(['#/givenOn in-the-future']);
  expect(await refusals({ accountingDate: '2026-01-31' })).toEqual(['#/accountingDate outside']);
  expect(errorsOf(await office.post('/v1/advances', request(running, { reason: '', amount: usd('0.00') })).expect(400)).sort()).toEqual(['#/amount/amount not-positive', '#/reason too-small']);
  const advance = await give(running);
  expect(errorsOf(await office.post('/v1/advances', request(running, { id: advance.id })).expect(409))).toEqual(['#/id taken']);
  await owner.post('/v1/journal/close', { month: '2026-02', reason: 'Given to the auditor.' }).expect(200);
  expect(errorsOf(await office.post('/v1/advances', request(running)).expect(409))).toEqual(['#/givenOn journal-closed']);
  await give(running, { accountingDate: '2026-03-01' });
});

it('refuses to take down what is not open, days outside, closed months, and a write-off by anybody but the owner', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running);
  const refused = async (more: object): Promise<string[]> => errorsOf(await payBack(advance, more).expect(422));
  expect(await refused({ amount: usd('100.01') })).toEqual(['#/amount larger-than-open']);
  expect(await refused({ amount: { amount: '5.00', currency: 'EUR' } })).toEqual(['#/amount/currency other-currency']);
  expect(await refused({ paidOn: '2026-05-03' })).toEqual(['#/paidOn in-the-future']);
  expect(await refused({ paidOn: '2026-01-31' })).toEqual(['#/paidOn before-advance']);
  expect(await refused({ accountingDate: '2026-04-19' })).toEqual(['#/accountingDate outside']);
  expect(errorsOf(await writeOff(advance, { accountingDate: '2026-01-31' }).expect(422))).toEqual(['#/accountingDate outside']);
  expect(errorsOf(await owner.post(`/v1/advances/${advance.id}/write-off`, { reason: '' }).expect(400))).toEqual(['#/reason too-small']);
  expect(codeOf(await office.post(`/v1/advances/${advance.id}/write-off`, { reason: 'The bar is gone.' }).expect(403))).toBe('not-allowed');
  await owner.post('/v1/journal/close', { month: '2026-03', reason: 'Given to the auditor.' }).expect(200);
  expect(errorsOf(await payBack(advance, { paidOn: '2026-03-10' }).expect(409))).toEqual(['#/paidOn journal-closed']);
  expect(errorsOf(await writeOff(advance, { accountingDate: '2026-03-31' }).expect(409))).toEqual(['#/accountingDate journal-closed']);
  const beyond = operator.inBooks((tx) =>
    tx.sql(
      `INSERT INTO advance_reduction (tenant_id, id, advance_id, agreement_id, kind, amount_minor, reason, happened_on, accounting_date, recorded_at, recorded_by)
       VALUES ($1, gen_random_uuid(), $2, $3, 'written-off', 10001, 'Test', '2026-05-01', '2026-05-01', now(), $4)`,
      [tx.tenantId, advance.id, advance.agreementId, tx.actor],
    ),
  );
  await expect(beyond).rejects.toMatchObject({ constraint: 'advance_not_exceeded' });
});

it('opens again what was paid back or written off by mistake, once, by a step of its own', async () => {
  const running = await siteWithRecoup();
  const advance = await give(running);
  const undo = (body: object, as = office) => as.post(`/v1/advances/${advance.id}/undo`, body);
  const reason = 'The money was for another site.';
  const back = (await payBack(advance, { amount: usd('40.00') }).expect(200)).body as Advance;
  const closed = (await writeOff(advance, { accountingDate: '2026-04-30' }).expect(200)).body as Advance;
  const [paid, written] = [back.history.at(-1)?.reductionId, closed.history.at(-1)?.reductionId];
  expect(errorsOf(await undo({ reductionId: advance.id, reason }).expect(422))).toEqual(['#/reductionId unknown']);
  expect(errorsOf(await undo({ reductionId: written, reason, accountingDate: '2026-04-29' }).expect(422))).toEqual(['#/accountingDate outside']);
  expect(((await undo({ reductionId: written, reason }).expect(200)).body as Advance).open).toEqual(usd('60.00'));
  expect(codeOf(await undo({ reductionId: written, reason }).expect(409))).toBe('wrong-state');
  api.clock.advance({ milliseconds: 60_000 });
  const open = (await undo({ reductionId: paid, reason }).expect(200)).body as Advance;
  expect(open).toMatchObject({ state: 'open', open: usd('100.00') });
  expect(stepsOf(open)).toEqual([
    '2026-02-01 given 100.00 100.00',
    '2026-04-20 paid-back -40.00 60.00',
    '2026-04-30 written-off -60.00 0.00',
    '2026-05-02 undone 60.00 60.00',
    '2026-05-02 undone 40.00 100.00',
  ]);
  expect(open.history.map(({ undone }) => undone)).toEqual([false, true, true, false, false]);
  expect(errorsOf(await undo({ reductionId: open.history.at(-1)?.reductionId, reason }).expect(422))).toEqual(['#/reductionId unknown']);
  expect(await balances('2026-05-02')).toMatchObject({ 'advance-to-payee': '100.00', 'written-off': '0.00' });
  const account = ((await office.get(`/v1/sites/${running.site.id}/account?on=2026-05-02`).expect(200)).body as SiteAccount).accounts[0];
  expect(account?.lines.map(({ kind, amount }) => `${kind} ${amount.amount}`).slice(-2)).toEqual(['advance-undone -60.00', 'advance-undone -40.00']);
  // By halves the database undoes nothing.
  const twoDollars = ((await payBack(advance, { amount: usd('2.00'), paidOn: '2026-05-02' }).expect(200)).body as Advance).history.at(-1)?.reductionId;
  const halves = operator.inBooks((tx) =>
    tx.sql(
      `INSERT INTO advance_reduction (tenant_id, id, advance_id, agreement_id, kind, undoes_id, amount_minor, reason, happened_on, accounting_date, recorded_at, recorded_by)
       SELECT tenant_id, gen_random_uuid(), advance_id, agreement_id, 'undone', id, -1, 'Test', '2026-05-01', '2026-05-01', now(), $2 FROM advance_reduction WHERE tenant_id = $1 AND id = $3`,
      [tx.tenantId, tx.actor, twoDollars],
    ),
  );
  await expect(halves).rejects.toMatchObject({ constraint: 'advance_reduction_undone_whole' });
});

it('works off no more than the books have open on the day of the settlement and on every day after', async () => {
  const running = await siteWithRecoup();
  const mistaken = await give(running, { amount: usd('12.00') });
  const [step] = ((await payBack(mistaken, { amount: usd('12.00'), paidOn: '2026-02-20' }).expect(200)).body as Advance).history.slice(-1);
  await office.post(`/v1/advances/${mistaken.id}/undo`, { reductionId: step?.reductionId, reason: 'The money was for another site.' }).expect(200);
  const paidLater = await give(running, { amount: usd('9.00') });
  await payBack(paidLater, { amount: usd('6.00'), paidOn: '2026-04-20' }).expect(200);
  await issue(running, '2026-02-01');
  // All of the first is open again only from today on; of the second 3.00 are left after April, though 9.00 were open in February.
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-02-01' })).totals.payable).toEqual(usd('37.00'));
  expect([(await read(mistaken)).open, (await read(paidLater)).open]).toEqual([usd('12.00'), usd('0.00')]);
  await issue(running, '2026-03-01');
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' })).totals.payable).toEqual(usd('40.00'));
});

it('refuses an advance where the law of the place allows none', async () => {
  const site = await makeSite(office);
  const areaId = String(site['taxAreaId']);
  const limit = { validFrom: '2026-03-01', source: 'Invented Gaming Act, section 4', document: { kind: 'no-advances' } };
  await owner.post(`/v1/tax-areas/${areaId}/limits`, limit).expect(201);
  const running = await makeRunningSite(office, { site: { taxAreaId: areaId } });
  const refused = await office.post('/v1/advances', request(running, { givenOn: '2026-03-01' })).expect(422);
  expect(errorsOf(refused)).toEqual(['#/givenOn law-no-advances']);
  expect(JSON.stringify(refused.body)).toContain('Invented Gaming Act, section 4');
  await give(running, { givenOn: '2026-02-28' });
});
