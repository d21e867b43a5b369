import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, etag, makeRunningSite, plainTerms } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});
afterEach(async () => expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]));

type Running = Awaited<ReturnType<typeof makeRunningSite>>;
const settle = async (startsOn: string): Promise<void> => void (await issueMonth(api, (await closeMonth(api, startsOn)).id));
const codeOf = (answer: { body: unknown }): string => (answer.body as { code: string }).code;

/** February leaves 40.00, which are paid; March is counted and not settled yet. */
async function februaryPaid(): Promise<{ running: Running; paid: Payment }> {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-02-10') });
  await makeAcceptedCollection(office, running.site, [count(running.machine, '50.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await settle('2026-02-01');
  const body = { agreementId: running.agreement.id, amount: usd('40.00'), method: 'bank', paidOn: '2026-04-20' };
  return { running, paid: (await office.post('/v1/payments', body).expect(201)).body as Payment };
}

const on = (paid: Payment, verb: string, body: object = { note: 'Meant for another month.' }) => office.post(`/v1/payments/${paid.id}/${verb}`, body);
const itemsOf = async (running: Running): Promise<string[]> =>
  ((await office.get(`/v1/open-items?agreementId=${running.agreement.id}`).expect(200)).body as { items: OpenItem[] }).items.map((item) => `${item.open.amount} ${item.state}`);

async function balances(): Promise<Record<string, string>> {
  const { accounts } = (await office.get('/v1/journal/trial-balance?on=2026-05-02').expect(200)).body as { accounts: { code: string; balance: { amount: string } }[] };
  return Object.fromEntries(accounts.map(({ code, balance }) => [code.split(':')[0], balance.amount]));
}

it('puts what is left of a payment on account, and the next settlement sets it off', async () => {
  const { running, paid } = await februaryPaid();
  expect(codeOf(await on(paid, 'put-on-account').expect(409))).toBe('wrong-state');
  await on(paid, 'unmatch').expect(200);
  api.clock.advance({ milliseconds: 1000 });
  const waiting = (await on(paid, 'put-on-account', { note: 'For March.' }).expect(200)).body as Payment;
  expect(waiting).toMatchObject({ state: 'on-account', unmatched: usd('0.00'), onAccount: usd('40.00'), matches: [] });
  expect(waiting.history.map(({ kind }) => kind)).toEqual(['recorded', 'matched', 'unmatched', 'put-on-account']);
  expect(await balances()).toMatchObject({ 'payable-to-payee': '-40.00', 'cash-handed': '40.00', bank: '-40.00' });
  await settle('2026-03-01');
  // The share of March is 20.00; with 40.00 set off the payee is 20.00 ahead, which the terms carry on.
  const march = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' });
  expect(march.totals.payable).toEqual(usd('-20.00'));
  expect((await office.get(`/v1/payments/${paid.id}`).expect(200)).body).toMatchObject({ state: 'set-off', setOffIn: { number: march.number } });
  expect(await itemsOf(running)).toEqual(['40.00 open']);
  expect(codeOf(await on(paid, 'match', {}).expect(409))).toBe('wrong-state');
  expect(codeOf(await on(paid, 'return', { returnedOn: '2026-05-02', reason: 'Account closed.' }).expect(409))).toBe('wrong-state');
  const [account] = ((await office.get(`/v1/sites/${running.site.id}/account`).expect(200)).body as SiteAccount).accounts;
  expect(account).toMatchObject({ closing: usd('20.00'), madeOf: { openItems: usd('40.00'), carried: usd('-20.00'), unmatched: usd('0.00'), handed: usd('0.00') } });
});

it('matches what waits on account after all, only as far as something is open', async () => {
  const { running, paid } = await februaryPaid();
  const advance = (await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('30.00'), method: 'bank', paidOn: '2026-04-21', onAccount: true }).expect(201)).body as Payment;
  await on(paid, 'return', { returnedOn: '2026-04-25', reason: 'Account closed.' }).expect(200);
  expect(await itemsOf(running)).toEqual(['40.00 returned']);
  const matched = (await on(advance, 'match', {}).expect(200)).body as Payment;
  expect(matched).toMatchObject({ kind: 'on-account', state: 'matched', onAccount: usd('0.00'), unmatched: usd('0.00'), matches: [{ amount: usd('30.00') }] });
  expect(await itemsOf(running)).toEqual(['10.00 partly-paid']);
  expect(await balances()).toMatchObject({ 'payable-to-payee': '-10.00', 'cash-handed': '0.00', bank: '-30.00' });
  const more = (await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('25.00'), method: 'bank', paidOn: '2026-04-26', onAccount: true }).expect(201)).body as Payment;
  expect((await on(more, 'match', {}).expect(200)).body).toMatchObject({ state: 'partly-matched', onAccount: usd('15.00'), unmatched: usd('0.00'), matches: [{ amount: usd('10.00') }] });
  expect(await balances()).toMatchObject({ 'payable-to-payee': '0.00', 'cash-handed': '15.00' });
  // Coming back, all of it is as if it had never been.
  await on(more, 'return', { returnedOn: '2026-05-02', reason: 'Account closed.' }).expect(200);
  expect(await itemsOf(running)).toEqual(['10.00 partly-paid']);
  expect(await balances()).toMatchObject({ 'payable-to-payee': '-10.00', 'cash-handed': '0.00', bank: '-30.00' });
});

it('never has more of a payment on account and matched than there is, whoever writes', async () => {
  const { paid } = await februaryPaid();
  const shifted = (minor: number) =>
    api.operator.inBooks((tx) =>
      tx.sql('INSERT INTO payment_shift (tenant_id, id, payment_id, amount_minor, accounting_date, recorded_at, recorded_by) VALUES ($1, gen_random_uuid(), $2, $3, $4, now(), $5)', [
        tx.tenantId, paid.id, minor, '2026-05-01', tx.actor,
      ]),
    );
  await expect(shifted(1)).rejects.toMatchObject({ constraint: 'payment_not_exceeded' });
  await expect(shifted(-1)).rejects.toMatchObject({ constraint: 'payment_not_exceeded' });
});

describe('what a payee pays beyond what it owes', () => {
  const fromPayee = (running: Running, amount: string, more: object = {}) =>
    office.post('/v1/payments', { agreementId: running.agreement.id, direction: 'from-payee', amount: usd(amount), method: 'bank', paidOn: '2026-04-22', ...more });

  it('is put on account, and the next settlement sets it off in its favour', async () => {
    const { running } = await februaryPaid();
    expect(errorsOf(await fromPayee(running, '15.00').expect(422))).toEqual(['#/amount nothing-due']);
    const waiting = (await fromPayee(running, '15.00', { onAccount: true }).expect(201)).body as Payment;
    expect(waiting).toMatchObject({ kind: 'on-account', direction: 'from-payee', state: 'on-account', amount: usd('15.00'), onAccount: usd('15.00'), unmatched: usd('0.00') });
    expect(await balances()).toMatchObject({ 'payable-to-payee': '0.00', 'cash-handed': '-15.00', bank: '-25.00' });
    const account = async () => ((await office.get(`/v1/sites/${running.site.id}/account`).expect(200)).body as SiteAccount).accounts[0];
    expect(await account()).toMatchObject({ closing: usd('15.00'), madeOf: { handed: usd('15.00'), unmatched: usd('0.00') } });
    const before = await balances();

    await settle('2026-03-01');
    // The share of March is 20.00.
    const march = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' });
    expect(march.totals.payable).toEqual(usd('35.00'));
    const line = march.lines.find(({ kind }) => kind === 'payee-handed-cash');
    expect([line?.amount, line?.why?.inputs.map(({ label }) => label)]).toEqual([usd('15.00'), ['Paid on account by the payee on 22 April 2026']]);
    expect((await office.get(`/v1/payments/${waiting.id}`).expect(200)).body).toMatchObject({ state: 'set-off', setOffIn: { number: march.number } });
    expect(await balances()).toMatchObject({ 'payable-to-payee': '-35.00', 'cash-handed': '0.00' });
    expect(await account()).toMatchObject({ closing: usd('35.00'), madeOf: { openItems: usd('35.00'), handed: usd('0.00') } });
    expect(codeOf(await on(waiting, 'return', { returnedOn: '2026-05-02', reason: 'Account closed.' }).expect(409))).toBe('wrong-state');

    await office.post(`/v1/settlements/${march.id}/reversal`, { reason: 'Counted for the wrong site.' }).expect(200);
    expect(await balances()).toEqual(before);
    expect((await office.get(`/v1/payments/${waiting.id}`).expect(200)).body).toMatchObject({ state: 'on-account', setOffIn: null });
    await on(waiting, 'return', { returnedOn: '2026-05-02', reason: 'Account closed.' }).expect(200);
    expect(await balances()).toMatchObject({ 'cash-handed': '0.00', bank: '-40.00' });
  });

  it('is matched with what it owes after all, or taken off that and put on account', async () => {
    const running = await makeRunningSite(office);
    const terms = { ...plainTerms({ partyId: running.party.id }), payout: { smallest: '0.00', negative: 'claim', smallestCoin: null } };
    await office.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'It owes what is below zero.' }).set('If-Match', etag(running.agreement)).expect(201);
    const handed = { cashHanded: [{ amount: usd('50.00'), acknowledgedBy: 'Kim at the bar' }] };
    await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-02-10'), ...handed });
    await settle('2026-02-01');
    expect(await itemsOf(running)).toEqual(['-10.00 open']);
    const paid = (await fromPayee(running, '25.00', { onAccount: true }).expect(201)).body as Payment;
    expect((await on(paid, 'match', {}).expect(200)).body).toMatchObject({ state: 'partly-matched', onAccount: usd('15.00'), unmatched: usd('0.00'), matches: [{ amount: usd('10.00') }] });
    expect(await itemsOf(running)).toEqual(['0.00 paid']);
    expect(await balances()).toMatchObject({ 'payable-to-payee': '0.00', 'cash-handed': '-15.00' });
    await on(paid, 'unmatch').expect(200);
    api.clock.advance({ milliseconds: 1000 });
    const waiting = (await on(paid, 'put-on-account', { note: 'For March.' }).expect(200)).body as Payment;
    expect(waiting).toMatchObject({ state: 'on-account', onAccount: usd('25.00'), unmatched: usd('0.00') });
    expect(waiting.history.map(({ kind, amount }) => `${kind} ${amount.amount}`).sort()).toEqual(
      ['matched 10.00', 'put-on-account 10.00', 'recorded 25.00', 'taken-off-account 10.00', 'unmatched 10.00'],
    );
    const account = ((await office.get(`/v1/sites/${running.site.id}/account`).expect(200)).body as SiteAccount).accounts[0];
    expect(account?.lines.map(({ kind, amount }) => `${kind} ${amount.amount}`)).toEqual(expect.arrayContaining(['taken-off-account 0.00', 'put-on-account 0.00']));
    const shifted = (minor: number) =>
      api.operator.inBooks((tx) => tx.sql('INSERT INTO payment_shift (tenant_id, id, payment_id, amount_minor, accounting_date, recorded_at, recorded_by) VALUES ($1, gen_random_uuid(), $2, $3, $4, now(), $5)', [tx.tenantId, paid.id, minor, '2026-05-01', tx.actor]));
    await expect(shifted(-1)).rejects.toMatchObject({ constraint: 'payment_not_exceeded' });
    await expect(shifted(2501)).rejects.toMatchObject({ constraint: 'payment_not_exceeded' });
  });
});
