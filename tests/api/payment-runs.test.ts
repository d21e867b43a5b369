import { createHash } from 'node:crypto';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { Payables, PaymentRun } from '#contracts/payment-run';
import type { SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, makeRunningSite } from '#tests/support/set-up';

const MARCH = '2026-03-01';
let api: TestApi;
let office: TestClient;
let owner: TestClient;
const freshApi = apiForAllTests({ now: '2026-04-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  [office, owner] = [api.operator.as('bookkeeper'), api.operator.as('owner')];
});
afterEach(async () => expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]));

type Running = Awaited<ReturnType<typeof makeRunningSite>>;
const originator = { companyId: '1234567890', bankName: 'First Bank' };
const us = { kind: 'us', holderName: 'Łukasz’s Bar', routingNumber: '111000025', accountNumber: '12345678', accountType: 'checking', holderKind: 'business', originator: null };

async function account(partyId: string | null, made: object = us, number = '12345678'): Promise<string> {
  const { body } = await office.post('/v1/bank-details', { partyId, account: made, reason: 'Letter of the owner.' }).expect(201);
  await owner.post(`/v1/bank-details/${body.id as string}/confirm`, { number, ...('routingNumber' in made ? { routingNumber: made.routingNumber } : {}) }).expect(200);
  return body.id as string;
}

/** Two sites with 40.00 and 20.00 due of March, both paid from one account. */
async function due(): Promise<[Running, Running]> {
  const [first, second] = [await makeRunningSite(office), await makeRunningSite(office)];
  await makeAcceptedCollection(office, first.site, [count(first.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await makeAcceptedCollection(office, second.site, [count(second.machine, '50.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  await account(null, { ...us, originator });
  await account(first.party.id);
  await account(second.party.id);
  return [first, second];
}

const payables = async (): Promise<Payables> => (await office.get('/v1/payment-runs/payables').expect(200)).body as Payables;
const draft = (more: object = {}) => office.post('/v1/payment-runs', { executeOn: '2026-04-03', ...more });
const act = (run: { id: string }, what: string, body?: object) => office.post(`/v1/payment-runs/${run.id}/${what}`, body);
const acted = async (run: { id: string }, what: string, body?: object): Promise<PaymentRun> => (await act(run, what, body).expect(200)).body as PaymentRun;
const download = (run: { id: string }) => office.get(`/v1/payment-runs/${run.id}/file`);
const fileMade = async (more: object = {}): Promise<PaymentRun> => acted((await draft(more).expect(201)).body as PaymentRun, 'make-file');
const sent = async (): Promise<PaymentRun> => {
  const made = await fileMade();
  await download(made).expect(200);
  return acted(made, 'confirm', { sentOn: '2026-04-02' });
};
const openOf = async (): Promise<string[]> => ((await office.get('/v1/open-items').expect(200)).body as { items: OpenItem[] }).items.map((item) => `${item.open.amount} ${item.state}`).sort();

it('pays everything that is due in one file, and records a payment per transfer', async () => {
  await due();
  expect(await payables()).toMatchObject({ transfers: 2, sum: usd('60.00'), from: { country: 'US', ending: '78' } });
  const made = (await draft().expect(201)).body as PaymentRun;
  expect(made).toMatchObject({ state: 'draft', format: 'ach', transferCount: 2, sum: usd('60.00'), entryHash: null });
  // A settlement is in one run at most.
  expect(await payables()).toMatchObject({ transfers: 0, accounts: [] });
  expect(errorsOf(await draft().expect(422))).toEqual(['# nothing-to-pay']);
  await act(made, 'confirm', { sentOn: '2026-04-02' }).expect(409);

  expect(await acted(made, 'make-file')).toMatchObject({ state: 'file-made', entryHash: '0022200004' });
  const file = await download(made).expect(200);
  const bytes = file.body as Buffer;
  const text = bytes.toString('utf8');
  expect(text.split('\n').map((line) => line.slice(0, 1)).join('')).toBe('1566899999');
  expect(text).toContain("LUKASZ'S BAR");
  expect(text).toMatch(/^622111000025123456780{0}\s+0000004000/m);
  expect((await office.get(`/v1/payment-runs/${made.id}`).expect(200)).body).toMatchObject({ fileSha256: createHash('sha256').update(bytes).digest('hex') });

  expect(await acted(made, 'confirm', { sentOn: '2026-04-02' })).toMatchObject({ state: 'sent' });
  await act(made, 'cancel', { reason: 'Too late.' }).expect(409);
  const paid = await acted(made, 'record-payments', { paidOn: '2026-04-02' });
  expect(paid).toMatchObject({ state: 'paid', history: [{ kind: 'drafted' }, { kind: 'file-made' }, { kind: 'downloaded' }, { kind: 'sent', on: '2026-04-02' }, { kind: 'paid', on: '2026-04-02' }] });
  expect(await openOf()).toEqual(['0.00 paid', '0.00 paid']);
  const payments = ((await office.get('/v1/payments').expect(200)).body as { items: Payment[] }).items;
  expect(payments.map(({ state, method, amount }) => [state, method, amount.amount]).sort()).toEqual([['matched', 'bank', '20.00'], ['matched', 'bank', '40.00']]);
  const run = { id: made.id, executeOn: made.executeOn };
  expect(payments.map((payment) => payment.run)).toEqual([run, run]);
  const lines = async (client: TestClient): Promise<unknown[]> => {
    const account = (await client.get(`/v1/sites/${payments[0]?.siteId ?? ''}/account?on=2026-04-02`).expect(200)).body as SiteAccount;
    return account.accounts.flatMap((each) => each.lines.filter(({ kind }) => kind === 'payment').map((line) => line.run));
  };
  expect(await lines(office)).toEqual([run]);

  // What comes back can be paid by another run, and only that.
  await office.post(`/v1/payments/${paid.transfers[0]?.paymentId ?? ''}/return`, { returnedOn: '2026-04-02', reason: 'Account closed.' }).expect(200);
  expect(await payables()).toMatchObject({ transfers: 1 });
  expect((await draft().expect(201)).body).toMatchObject({ transferCount: 1, sum: paid.transfers[0]?.amount });
});

it('keeps back what was paid on account, and matches it when the payments are recorded', async () => {
  const [first] = await due();
  await office.post('/v1/payments', { agreementId: first.agreement.id, amount: usd('15.00'), method: 'bank', paidOn: '2026-04-01', onAccount: true }).expect(201);
  const run = await sent();
  expect(run).toMatchObject({ sum: usd('45.00') });
  expect(run.transfers.map(({ amount, onAccount }) => [amount.amount, onAccount.amount]).sort()).toEqual([['20.00', '0.00'], ['25.00', '15.00']]);
  await acted(run, 'record-payments', { paidOn: '2026-04-02' });
  expect(await openOf()).toEqual(['0.00 paid', '0.00 paid']);
  const { items } = (await office.get(`/v1/payments?agreementId=${first.agreement.id}`).expect(200)).body as { items: Payment[] };
  expect(items.map(({ state, onAccount }) => [state, onAccount.amount])).toEqual([['matched', '0.00'], ['matched', '0.00']]);
});

it('leaves out whom the bank cannot pay, and says why', async () => {
  const [first, second] = await due();
  const iban = { kind: 'iban', holderName: 'Bar', iban: 'DE89370400440532013000', bic: null };
  await account(second.party.id, iban, iban.iban);
  expect((await payables()).accounts.map(({ pays, obstacle }) => [pays.amount, obstacle])).toEqual([['40.00', null], ['20.00', 'other-kind-of-account']]);
  const settlement = await settlementOf(api, { siteId: second.site.id, startsOn: MARCH });
  expect(errorsOf(await draft({ settlementIds: [settlement.id] }).expect(422))).toEqual(['#/settlementIds/0 other-kind-of-account']);
  expect(errorsOf(await draft({ settlementIds: [first.site.id] }).expect(422))).toEqual(['#/settlementIds/0 not-payable']);
  expect(errorsOf(await draft({ executeOn: '2026-04-01' }).expect(422))).toEqual(['#/executeOn in-the-past']);
  expect(errorsOf(await draft({ currency: 'EUR' }).expect(422))).toEqual(['#/currency other-currency']);
  const [item] = ((await office.get(`/v1/open-items?agreementId=${first.agreement.id}`).expect(200)).body as { items: OpenItem[] }).items;
  await office.post(`/v1/open-items/${item?.id ?? ''}/hold`, { note: 'The bar disputes a slip.' }).expect(200);
  expect((await payables()).accounts).toHaveLength(1);
});

it('lets no file out of the house that is no longer as it was drafted, and frees it when it is cancelled', async () => {
  const [first] = await due();
  const made = await fileMade();
  expect((await act(made, 'confirm', { sentOn: '2026-04-02' }).expect(409)).body).toMatchObject({ detail: expect.stringContaining('Nobody has downloaded') as string });
  const later = await account(first.party.id, { ...us, accountNumber: '87654321' }, '87654321');
  expect((await download(made).expect(409)).body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining('no longer the one in force') as string });
  // Nobody has the file, so one person is enough.
  expect(await acted(made, 'cancel', { reason: 'The account changed.' })).toMatchObject({ state: 'cancelled', transfers: [{ released: true }, { released: true }] });
  await download(made).expect(409);
  const again = (await draft().expect(201)).body as PaymentRun;
  expect(again.transfers.map((transfer) => transfer.account.bankDetailId)).toContain(later);
  await office.post('/v1/payments', { agreementId: first.agreement.id, amount: usd('1.00'), method: 'bank', paidOn: '2026-04-02' }).expect(201);
  expect((await act(again, 'make-file').expect(409)).body).toMatchObject({ detail: expect.stringContaining('39.00 USD') as string });
  await acted(again, 'cancel', { reason: 'Some of it was paid.' });
  const waited = (await draft({ executeOn: '2026-04-02' }).expect(201)).body as PaymentRun;
  for (const milliseconds of [11 * 60 * 60 * 1000, 11 * 60 * 60 * 1000]) {
    api.clock.advance({ milliseconds });
    await payables();
  }
  expect((await act(waited, 'make-file').expect(409)).body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining('2 April 2026, and that day is past') as string });
});

it('takes what the bank did as it is, and gives up a file that was downloaded by a second person only', async () => {
  const [first] = await due();
  const made = await fileMade();
  await download(made).expect(200);
  expect((await act(made, 'cancel', { reason: 'Not sent.' }).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await account(first.party.id, { ...us, accountNumber: '87654321' }, '87654321');
  await download(made).expect(409);
  // The bank has the file whatever changed since.
  await acted(made, 'confirm', { sentOn: '2026-04-02' });
  const refusedByBank = { reason: 'The bank could not read it.', refusedByBank: true };
  await act(made, 'cancel', refusedByBank).expect(403);
  await owner.post(`/v1/payment-runs/${made.id}/cancel`, { reason: 'Not sent.' }).expect(409);
  const refused = await owner.post(`/v1/payment-runs/${made.id}/cancel`, refusedByBank).expect(200);
  expect(refused.body).toMatchObject({ state: 'cancelled', transfers: [{ released: true }, { released: true }] });
  expect((refused.body as PaymentRun).history.at(-1)).toMatchObject({ kind: 'refused-by-bank', reason: refusedByBank.reason, happenedBy: `user:${owner.id}` });
  expect(await payables()).toMatchObject({ transfers: 2 });

  const another = await fileMade();
  await act(another, 'cancel', refusedByBank).expect(409);
  await owner.get(`/v1/payment-runs/${another.id}/file`).expect(200);
  const cancel = () => owner.post(`/v1/payment-runs/${another.id}/cancel`, { reason: 'Not sent.' });
  await cancel().expect(403);
  for (const role of ['bookkeeper', 'custodian', 'reviewer'] as const) await owner.delete(`/v1/members/${api.operator.as(role).id}`).set('If-Match', '"1"').expect(204);
  const rules = { directHandOver: false, acknowledgeWithinHours: 48, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: '2026-12-01', reason: 'Nobody else works here.' };
  await owner.post('/v1/policy', rules).expect(201);
  await cancel().expect(200);
  expect((await owner.get('/v1/policy/relaxed-records').expect(200)).body).toMatchObject({ items: [{ kind: 'payment-run', recordId: another.id, about: 'Payment run for 2026-04-03' }] });
});

it('lets the one of two who did not download the file say that the bank refused it, and labels that', async () => {
  await due();
  const made = await fileMade();
  await download(made).expect(200);
  expect((await owner.post(`/v1/payment-runs/${made.id}/confirm`, { sentOn: '2026-04-02' }).expect(200)).body).toMatchObject({ state: 'sent' });
  const refusedByBank = { reason: 'The bank could not read it.', refusedByBank: true };
  expect((await act(made, 'cancel', refusedByBank).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  // While there is somebody who had no hand in it, they say so.
  const third = await api.operator.newMember('bookkeeper');
  await owner.post(`/v1/payment-runs/${made.id}/cancel`, refusedByBank).expect(403);
  const token = await api.operator.withToken({ role: 'owner', scopes: ['settle'], madeBy: owner });
  await token.post(`/v1/payment-runs/${made.id}/cancel`, refusedByBank).expect(403);
  await owner.delete(`/v1/members/${third.id}`).set('If-Match', '"1"').expect(204);
  await act(made, 'cancel', refusedByBank).expect(403);
  expect((await owner.post(`/v1/payment-runs/${made.id}/cancel`, refusedByBank).expect(200)).body).toMatchObject({ state: 'cancelled' });
  expect((await owner.get('/v1/policy/relaxed-records').expect(200)).body).toMatchObject({ items: [{ rule: 'second-person', kind: 'payment-run', recordId: made.id }] });
});

it('records no payment of a transfer that the bank refused, and lets another run pay it', async () => {
  await due();
  const run = await sent();
  const [first, second] = run.transfers;
  const refused = [{ transferId: first?.id, because: 'account-closed' }];
  const body = { paidOn: '2026-04-02', refused };
  expect((await act(run, 'record-payments', body).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const record = (more: object) => owner.post(`/v1/payment-runs/${run.id}/record-payments`, { ...body, ...more });
  expect(errorsOf(await record({ refused: [...refused, ...refused] }).expect(422))).toEqual(['#/refused/1/transferId named-twice']);
  expect(errorsOf(await record({ refused: [{ transferId: run.id, because: 'not-said' }] }).expect(422))).toEqual(['#/refused/0/transferId not-in-this-run']);
  expect(errorsOf(await record({ refused: [...refused, { transferId: second?.id, because: 'not-said' }] }).expect(422))).toEqual(['#/refused nothing-paid']);
  expect(errorsOf(await record({ refused: [{ transferId: first?.id, because: 'moved' }] }).expect(400))[0]).toContain('#/refused/0/because');
  expect(await openOf()).toEqual(['20.00 open', '40.00 open']);

  const paid = (await record({}).expect(200)).body as PaymentRun;
  expect(paid).toMatchObject({ state: 'paid', sum: usd('60.00') });
  expect(paid.transfers.map(({ paymentId, refusedBecause, released }) => [paymentId !== null, refusedBecause, released])).toEqual([[false, 'account-closed', true], [true, null, false]]);
  expect(((await office.get('/v1/payments').expect(200)).body as { items: Payment[] }).items.map(({ amount }) => amount)).toEqual([second?.amount]);
  expect(await payables()).toMatchObject({ transfers: 1, sum: first?.amount });
  expect((await draft().expect(201)).body).toMatchObject({ transferCount: 1, sum: first?.amount });
});

// Settlements carry what a payee owes and set it against the next share; a run pays what is due and sets nothing against it.
it('pays what is due in full although a later settlement carried what the payee owes', async () => {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-02-10') });
  await issueMonth(api, (await closeMonth(api, '2026-02-01')).id);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '10.00', '0.00')], { happenedAt: moment('2026-03-10'), cashHanded: [{ amount: usd('9.00') }] });
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  await account(null, { ...us, originator });
  await account(running.party.id);
  expect(await settlementOf(api, { siteId: running.site.id, startsOn: MARCH })).toMatchObject({ totals: { payable: usd('-5.00') } });
  expect(await openOf()).toEqual(['40.00 open']);
  expect(await payables()).toMatchObject({ transfers: 1, sum: usd('40.00') });
});

it('keeps a settlement from being reversed while a file that pays it is made or with the bank', async () => {
  const [first] = await due();
  const settlement = await settlementOf(api, { siteId: first.site.id, startsOn: MARCH });
  const reverse = () => office.post(`/v1/settlements/${settlement.id}/reversal`, { reason: 'A slip was missing.' });
  const made = await fileMade();
  const inRun = { code: 'settlement-in-payment-run', detail: expect.stringContaining(made.id) as string };
  expect((await reverse().expect(409)).body).toMatchObject(inRun);
  await download(made).expect(200);
  await acted(made, 'confirm', { sentOn: '2026-04-02' });
  expect((await reverse().expect(409)).body).toMatchObject(inRun);
  await owner.post(`/v1/payment-runs/${made.id}/cancel`, { reason: 'The bank could not read it.', refusedByBank: true }).expect(200);
  const drafted = (await draft().expect(201)).body as PaymentRun;
  await reverse().expect(200);
  await act(drafted, 'make-file').expect(409);
});

it('lets one of two win who draft at the same moment', async () => {
  await due();
  const both = await Promise.all([draft(), draft()]);
  expect(both.map(({ status }) => status).sort()).toEqual([201, 422]);
  expect(await payables()).toMatchObject({ accounts: [] });
});

it('keeps back what was paid on account once, and frees what a run leaves open', async () => {
  const running = await makeRunningSite(office);
  const settlementIds: string[] = [];
  for (const month of ['2026-02', '2026-03']) {
    await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment(`${month}-10`) });
    await issueMonth(api, (await closeMonth(api, `${month}-01`)).id);
    settlementIds.push((await settlementOf(api, { siteId: running.site.id, startsOn: `${month}-01` })).id);
  }
  await account(null, { ...us, originator });
  await account(running.party.id);
  const onAccount = await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('15.00'), method: 'bank', paidOn: '2026-04-01', onAccount: true }).expect(201);
  const run = await fileMade({ settlementIds: settlementIds.slice(0, 1) });
  expect(run).toMatchObject({ sum: usd('25.00') });
  const other = await fileMade();
  expect(other).toMatchObject({ sum: usd('40.00'), transfers: [{ onAccount: usd('0.00') }] });
  await download(run).expect(200);
  await download(other).expect(200);
  await acted(run, 'confirm', { sentOn: '2026-04-02' });
  await office.post(`/v1/payments/${onAccount.body.id as string}/return`, { returnedOn: '2026-04-02', reason: 'Account closed.' }).expect(200);
  expect(await acted(run, 'record-payments', { paidOn: '2026-04-02' })).toMatchObject({ transfers: [{ released: true }] });
  expect((await payables()).accounts).toMatchObject([{ settlements: [{ settlementId: settlementIds[0] }], pays: usd('15.00') }]);
});

it('refuses wrong days, and keeps money that left the bank although its settlement was paid otherwise', async () => {
  const [first] = await due();
  const run = await sent();
  expect(errorsOf(await act(run, 'record-payments', { paidOn: '2026-04-03' }).expect(422))).toEqual(['#/paidOn in-the-future']);
  expect(errorsOf(await act(run, 'record-payments', { paidOn: '2026-04-01' }).expect(422))).toEqual(['#/paidOn before-sent']);
  await office.post('/v1/payments', { agreementId: first.agreement.id, amount: usd('40.00'), method: 'cash', paidOn: '2026-04-02' }).expect(201);
  await acted(run, 'record-payments', { paidOn: '2026-04-02' });
  const { items } = (await office.get(`/v1/payments?agreementId=${first.agreement.id}`).expect(200)).body as { items: Payment[] };
  expect(items.map(({ state, unmatched }) => [state, unmatched.amount]).sort()).toEqual([['matched', '0.00'], ['unmatched', '40.00']]);
});
