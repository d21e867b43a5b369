import type { JournalPeriods, TrialBalance } from '#contracts/journal';
import type { Payment } from '#contracts/payment';
import type { TaxWorksheet } from '#contracts/tax-return';
import { postEntries } from '#backoffice/journal/post';
import { paidOnAccount } from '#domain/journal/entries';
import { localDate } from '#domain/calendar/local-date';
import { perform } from '#backoffice/perform';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth, readClose, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { untilWaiting } from '#tests/support/database';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, makeRunningSite, makeTaxArea, type Made } from '#tests/support/set-up';

const [FEBRUARY, MARCH] = ['2026-02-01', '2026-03-01'];
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

const close = (month: string) => owner.post('/v1/journal/close', { month, reason: 'Given to the auditor.' });
const reopen = (month: string) => owner.post('/v1/journal/reopen', { month, reason: 'A payment was missing.' });
const periods = async (): Promise<JournalPeriods> => (await office.get('/v1/journal/periods').expect(200)).body as JournalPeriods;
const entries = async (): Promise<number> => ((await office.get('/v1/journal/entries?limit=200').expect(200)).body as { items: unknown[] }).items.length;
const codeOf = (answer: { body: unknown }): string => (answer.body as { code: string }).code;
const detailOf = (answer: { body: unknown }): string => (answer.body as { detail?: string }).detail ?? '';

type Running = Awaited<ReturnType<typeof makeRunningSite>>;
const collect = (running: Running, day: string, coin: string): Promise<Made> =>
  makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day) });

it('is closed through a month end and opened again, each with its reason', async () => {
  expect(await periods()).toEqual({ closedThrough: null, lastMonth: '2026-04', events: [] });
  await close('2026-02').expect(200);
  await close('2026-04').expect(200);
  await reopen('2026-03').expect(200);
  const known = await periods();
  expect(known.closedThrough).toBe('2026-02-28');
  expect(known.events.map(({ kind, closedThrough, reason }) => `${kind} ${closedThrough ?? 'nothing'}: ${reason}`)).toEqual([
    'reopened 2026-02-28: A payment was missing.',
    'closed 2026-04-30: Given to the auditor.',
    'closed 2026-02-28: Given to the auditor.',
  ]);
  const trail = (await owner.get('/v1/audit-trail?kind=journal_period_event').expect(200)).body as { items: { action: string }[] };
  expect(trail.items.map(({ action }) => action)).toEqual(['insert', 'insert', 'insert']);
});

it('refuses a month that is not over, one that is closed or open already, and no reason', async () => {
  expect(errorsOf(await close('2026-05').expect(422))).toEqual(['#/month month-not-over']);
  expect(errorsOf(await reopen('2026-03').expect(422))).toEqual(['#/month not-closed']);
  await close('2026-03').expect(200);
  expect(errorsOf(await close('2026-03').expect(422))).toEqual(['#/month closed-already']);
  expect(errorsOf(await close('2026-02').expect(422))).toEqual(['#/month closed-already']);
  expect(errorsOf(await reopen('2026-04').expect(422))).toEqual(['#/month not-closed']);
  expect(errorsOf(await owner.post('/v1/journal/close', { month: '2026-04', reason: ' ' }).expect(400))).toEqual(['#/reason too-small']);
  expect(codeOf(await office.post('/v1/journal/close', { month: '2026-04', reason: 'I would like to.' }).expect(403))).toBe('not-allowed');
});

it('takes no payment and no return of one in a closed month, unless it is booked to a later day', async () => {
  const running = await makeRunningSite(office);
  await close('2026-03').expect(200);
  const payment = { agreementId: running.agreement.id, amount: usd('5.00'), method: 'bank', paidOn: '2026-03-20', onAccount: true };
  const refusedAnswer = await office.post('/v1/payments', payment).expect(409);
  expect(codeOf(refusedAnswer)).toBe('journal-closed');
  expect(errorsOf(refusedAnswer)).toEqual(['#/paidOn journal-closed']);
  expect(errorsOf(await office.post('/v1/payments', { ...payment, accountingDate: '2026-03-31' }).expect(409))).toEqual(['#/accountingDate journal-closed']);
  for (const accountingDate of ['2026-03-19', '2026-05-03']) {
    expect(errorsOf(await office.post('/v1/payments', { ...payment, accountingDate }).expect(422))).toEqual(['#/accountingDate outside']);
  }
  expect(await entries()).toBe(0);
  expect((await office.get('/v1/payments').expect(200)).body).toMatchObject({ items: [] });
  const made = (await office.post('/v1/payments', { ...payment, accountingDate: '2026-04-01' }).expect(201)).body as Payment;
  expect(made).toMatchObject({ paidOn: '2026-03-20', accountingDate: '2026-04-01' });

  await close('2026-04').expect(200);
  const back = { returnedOn: '2026-04-10', reason: 'Account closed.' };
  expect(errorsOf(await office.post(`/v1/payments/${made.id}/return`, back).expect(409))).toEqual(['#/returnedOn journal-closed']);
  expect(errorsOf(await office.post(`/v1/payments/${made.id}/return`, { ...back, accountingDate: '2026-04-30' }).expect(409))).toEqual(['#/accountingDate journal-closed']);
  expect(errorsOf(await office.post(`/v1/payments/${made.id}/return`, { ...back, accountingDate: '2026-04-09' }).expect(422))).toEqual(['#/accountingDate outside']);
  await office.post(`/v1/payments/${made.id}/return`, { ...back, accountingDate: '2026-05-01' }).expect(200);
  expect(await entries()).toBe(2);
});

it('accepts no collection of a closed month, neither alone nor in a file', async () => {
  const running = await makeRunningSite(office);
  const late = await makeCollection(office, running.site, [count(running.machine, '50.00', '0.00')], { happenedAt: moment('2026-02-10') });
  const csv = `site,collected_on,machine,coin\n${String(running.site['code'])},2026-02-12,${String(running.machine['tag'])},12.50\n`;
  const staged = (await office.send('POST', '/v1/imports?fileName=f.csv').set('Content-Type', 'text/csv').send(csv).expect(201)).body as Made;
  await close('2026-02').expect(200);
  const refusedAnswer = await office.post(`/v1/collections/${late.id}/accept`).expect(409);
  expect(codeOf(refusedAnswer)).toBe('journal-closed');
  expect(detailOf(refusedAnswer)).toBe(`The collection at ${String(running.site['code'])}: The journal is closed through 28 February 2026, and this would be booked to 10 February 2026.`);
  expect(codeOf(await office.post(`/v1/imports/${staged.id}/accept`).expect(409))).toBe('journal-closed');
  expect(((await office.get('/v1/collections').expect(200)).body as { items: { state: string }[] }).items.map(({ state }) => state)).toEqual(['counted']);
  expect(await entries()).toBe(0);
  await reopen('2026-02').expect(200);
  await office.post(`/v1/collections/${late.id}/accept`).expect(200);
  await office.post(`/v1/imports/${staged.id}/accept`).expect(200);
});

it('corrects a count of a closed month: that happens today', async () => {
  const running = await makeRunningSite(office);
  const made = (await collect(running, '2026-02-10', '100.00')) as Made & { counts: { id: string }[] };
  await close('2026-02').expect(200);
  const correction = { countId: made.counts[0]?.id, coin: usd('90.00'), note: usd('0.00'), reason: 'Counted again.' };
  await owner.post(`/v1/collections/${made.id}/corrections`, correction).expect((answer) => expect(answer.status).toBeLessThan(300));
  const { accounts } = (await office.get('/v1/journal/trial-balance?on=2026-02-28').expect(200)).body as TrialBalance;
  expect(accounts.find(({ code }) => code === 'cash-in-counting-room')?.balance).toEqual(usd('100.00'));
});

it('issues no settlement of a closed month: each is named with its period, and follows without a gap when it is reopened', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-02-10', '100.00');
  await collect(running, '2026-03-10', '50.00');
  const { id } = await closeMonth(api, FEBRUARY);
  await close('2026-02').expect(200);
  const refusedClose = await issueMonth(api, id);
  expect(failuresOf(refusedClose)).toEqual([`${String(running.site['code'])} journal-closed`]);
  expect(refusedClose.failures[0]?.message).toContain('The period from 1 February 2026 to 28 February 2026: The journal is closed through 28 February 2026');
  expect(await settlementOf(api, { siteId: running.site.id, startsOn: FEBRUARY })).toMatchObject({ state: 'reviewed', number: null });
  await reopen('2026-02').expect(200);
  await office.post(`/v1/closes/${id}/issue`).expect(202);
  await operator.work();
  expect((await readClose(api, id)).progress).toMatchObject({ issued: 1, failed: 0 });
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: FEBRUARY })).number).toMatch(/-000001$/);
  // The month after is open and is settled while February is closed again.
  await close('2026-02').expect(200);
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  expect((await settlementOf(api, { siteId: running.site.id, startsOn: MARCH })).number).toMatch(/-000002$/);
});

it('records no tax return as filed in a closed month', async () => {
  const area = await makeTaxArea(office);
  const document = {
    method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', negative: 'zero', capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State', ratePercent: '4' }],
  };
  await office.post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented for this test.', document }).expect(201);
  const running = await makeRunningSite(office, { site: { taxAreaId: area.id } });
  await collect(running, '2026-02-10', '104.00');
  const { digest } = (await office.get(`/v1/tax-areas/${area.id}/worksheet?month=2026-02`).expect(200)).body as TaxWorksheet;
  await close('2026-03').expect(200);
  const filing = { month: '2026-02', filedOn: '2026-03-20', digest };
  const refusedAnswer = await office.post(`/v1/tax-areas/${area.id}/returns`, filing).expect(409);
  expect([codeOf(refusedAnswer), ...errorsOf(refusedAnswer)]).toEqual(['journal-closed', '#/filedOn journal-closed']);
  expect(((await office.get(`/v1/tax-areas/${area.id}/returns`).expect(200)).body as { items: unknown[] }).items).toEqual([]);
  await office.post(`/v1/tax-areas/${area.id}/returns`, { ...filing, filedOn: '2026-04-01' }).expect(201);
});

const entryOn = (day: string, agreementId: string) =>
  paidOnAccount({ id: api.backoffice.newId(), date: localDate(day), currency: 'USD', sourceId: api.backoffice.newId() }, { party: agreementId, amountMinor: 100n, from: { code: 'bank', holderId: null } });

it('is kept closed by the database, whoever posts, and the answer says so', async () => {
  const { party } = await makeRunningSite(office);
  await close('2026-02').expect(200);
  await operator.inBooks((tx) => postEntries(tx, { entries: [entryOn('2026-03-01', party.id)], recordedAt: api.clock.now() }));
  const both = [entryOn('2026-03-02', party.id), entryOn('2026-02-28', party.id)];
  await expect(operator.inBooks((tx) => postEntries(tx, { entries: both, recordedAt: api.clock.now() }))).rejects.toMatchObject({ constraint: 'journal_entry_in_open_period' });
  const answer = await perform(api.backoffice, { kind: 'system', id: 'test', tenantId: operator.tenantId }, 'payment.record', async ({ tx, now }) => {
    await postEntries(tx, { entries: both.map((entry) => ({ ...entry })), recordedAt: now });
    return { ok: true, value: null };
  });
  expect(answer).toEqual({ ok: false, failure: { code: 'journal-closed', detail: 'The journal is closed through 28 February 2026; the entry would be of 28 February 2026.' } });
  expect(await entries()).toBe(1);
  const event = ([position, kind, through]: readonly [number, string, string]) =>
    operator.inBooks((tx) =>
      tx.sql('INSERT INTO journal_period_event (tenant_id, position, kind, closed_through, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, now(), $6)', [tx.tenantId, position, kind, through, 'Test', tx.actor]),
    );
  for (const wrong of [[3, 'closed', '2026-03-31'], [2, 'closed', '2026-01-31'], [2, 'reopened', '2026-03-31'], [2, 'reopened', '2026-02-28']] as const) {
    await expect(event(wrong)).rejects.toMatchObject({ constraint: 'journal_period_in_order' });
  }
  await expect(event([2, 'closed', '2026-03-30'])).rejects.toMatchObject({ constraint: 'journal_period_ends_with_month' });
});

it('waits for who is posting, and what comes after it is refused', async () => {
  const { party } = await makeRunningSite(office);
  let letGo: () => void = () => undefined;
  const gate = new Promise<void>((resolve) => (letGo = resolve));
  let posted: () => void = () => undefined;
  const isPosted = new Promise<void>((resolve) => (posted = resolve));
  const posting = operator.inBooks(async (tx) => {
    await postEntries(tx, { entries: [entryOn('2026-02-10', party.id)], recordedAt: api.clock.now() });
    posted();
    await gate;
  });
  await isPosted;
  const closing = close('2026-02').then((answer) => answer);
  await untilWaiting(api.db, 1);
  const second = operator.inBooks((tx) => postEntries(tx, { entries: [entryOn('2026-02-11', party.id)], recordedAt: api.clock.now() })).then(
    () => 'posted',
    (error: { constraint?: string }) => error.constraint,
  );
  await untilWaiting(api.db, 2);
  letGo();
  await posting;
  expect((await closing).status).toBe(200);
  expect(await second).toBe('journal_entry_in_open_period');
});

it('goes on beside a month end: every settlement is issued or named, and nobody waits for each other for ever', async () => {
  const sites = await Promise.all(Array.from({ length: 6 }, () => makeRunningSite(office)));
  for (const running of sites) await collect(running, '2026-02-10', '100.00');
  const { id } = await closeMonth(api, FEBRUARY);
  await reviewMonth(api, id);
  await office.post(`/v1/closes/${id}/issue`).expect(202);
  const payments = sites.map((running) => office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('1.00'), method: 'bank', paidOn: '2026-02-20', onAccount: true }).then((answer) => answer.status));
  const [, closing] = await Promise.all([operator.work(), close('2026-02').then((answer) => answer.status)]);
  expect(closing).toBe(200);
  expect((await Promise.all(payments)).filter((status) => status !== 201 && status !== 409)).toEqual([]);
  const run = await readClose(api, id);
  expect(run.progress.issued + run.failures.length).toBe(6);
  expect(new Set(run.failures.map(({ code }) => code)).size).toBeLessThanOrEqual(2);
});
