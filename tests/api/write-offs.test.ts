import type { OpenItem } from '#contracts/open-item';
import type { SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, makeRunningSite } from '#tests/support/set-up';

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

/** February leaves 40.00 to be paid, of which 25.00 are paid on 20 April. */
async function partlyPaid(): Promise<{ running: Running; item: OpenItem }> {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-02-10') });
  await issueMonth(api, (await closeMonth(api, '2026-02-01')).id);
  await office.post('/v1/payments', { agreementId: running.agreement.id, amount: usd('25.00'), method: 'bank', paidOn: '2026-04-20' }).expect(201);
  const { items } = (await office.get(`/v1/open-items?agreementId=${running.agreement.id}`).expect(200)).body as { items: OpenItem[] };
  const [item] = items;
  if (item === undefined) throw new Error('nothing is open');
  return { running, item };
}

const writeOff = (item: OpenItem, more: object = {}) => owner.post(`/v1/open-items/${item.id}/write-off`, { reason: 'The bar is gone.', ...more });
const undo = (item: OpenItem, more: object = {}) => owner.post(`/v1/open-items/${item.id}/undo-write-off`, { reason: 'It was found.', ...more });
const codeOf = (answer: { body: unknown }): string => (answer.body as { code: string }).code;

async function balances(on: string): Promise<Record<string, string>> {
  const { accounts } = (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as { accounts: { code: string; balance: { amount: string } }[] };
  return Object.fromEntries(accounts.map(({ code, balance }) => [code.split(':')[0], balance.amount]));
}

it('gives up the rest of an item on an account of its own, and takes it up again by a counter-entry', async () => {
  const { running, item } = await partlyPaid();
  const written = (await writeOff(item, { accountingDate: '2026-04-25' }).expect(200)).body as OpenItem;
  expect(written).toMatchObject({ state: 'written-off', paid: usd('25.00'), writtenOff: usd('15.00'), open: usd('0.00') });
  expect(written.history).toMatchObject([{ kind: 'written-off', note: 'The bar is gone.' }]);
  // The operator no longer owes it: the payable is gone, and the account of what is given up is credited.
  expect(await balances('2026-04-25')).toMatchObject({ 'payable-to-payee': '0.00', 'written-off': '-15.00' });
  expect(await balances('2026-04-24')).toMatchObject({ 'payable-to-payee': '-15.00' });
  expect((await office.get(`/v1/open-items?agreementId=${running.agreement.id}&unpaid=yes`).expect(200)).body).toMatchObject({ items: [] });

  api.clock.advance({ milliseconds: 1000 });
  const back = (await undo(item).expect(200)).body as OpenItem;
  expect(back).toMatchObject({ state: 'partly-paid', writtenOff: usd('0.00'), open: usd('15.00') });
  expect(back.history.map(({ kind }) => kind)).toEqual(['written-off', 'write-off-undone']);
  expect(await balances('2026-05-02')).toMatchObject({ 'payable-to-payee': '-15.00', 'written-off': '0.00' });
  const account = async (on: string) => ((await office.get(`/v1/sites/${running.site.id}/account?on=${on}`).expect(200)).body as SiteAccount).accounts[0];
  expect(await account('2026-04-30')).toMatchObject({ closing: usd('0.00'), items: [], madeOf: { openItems: usd('0.00') } });
  const today = await account('2026-05-02');
  expect(today).toMatchObject({ closing: usd('15.00'), items: [{ open: usd('15.00') }] });
  expect(today?.lines.slice(-2).map(({ date, kind, amount }) => `${date} ${kind} ${amount.amount}`)).toEqual(['2026-04-25 written-off -15.00', '2026-05-02 write-off-undone 15.00']);
  // And given up once more.
  expect((await writeOff(item).expect(200)).body).toMatchObject({ state: 'written-off' });
});

it('gives up what a payee owes: that is a loss', async () => {
  const running = await makeRunningSite(office);
  const visit = { happenedAt: moment('2026-02-10'), cashHanded: [{ amount: usd('90.00'), acknowledgedBy: 'Bar staff' }] };
  const terms = { payout: { smallest: '0.00', negative: 'claim', smallestCoin: null } };
  const agreed = (await office.get(`/v1/agreements/${running.agreement.id}/versions`).expect(200)).body as { items: { terms: object }[] };
  await office
    .post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2026-01-01', terms: { ...agreed.items[0]?.terms, ...terms }, reason: 'Owed at once' })
    .set('If-Match', `"${running.agreement.revision}"`)
    .expect(201);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], visit);
  await issueMonth(api, (await closeMonth(api, '2026-02-01')).id);
  const { items } = (await office.get(`/v1/open-items?agreementId=${running.agreement.id}`).expect(200)).body as { items: [OpenItem] };
  expect(items[0].open).toEqual(usd('-50.00'));
  expect((await writeOff(items[0]).expect(200)).body).toMatchObject({ state: 'written-off', writtenOff: usd('-50.00'), open: usd('0.00') });
  expect(await balances('2026-05-02')).toMatchObject({ 'payable-to-payee': '0.00', 'written-off': '50.00' });
});

it('refuses what is settled, what is not written off, days outside, closed months, and anybody but the owner', async () => {
  const { item } = await partlyPaid();
  expect(codeOf(await undo(item).expect(409))).toBe('wrong-state');
  expect(errorsOf(await writeOff(item, { accountingDate: '2026-02-27' }).expect(422))).toEqual(['#/accountingDate outside']);
  expect(errorsOf(await writeOff(item, { accountingDate: '2026-05-03' }).expect(422))).toEqual(['#/accountingDate outside']);
  expect(errorsOf(await owner.post(`/v1/open-items/${item.id}/write-off`, { reason: '' }).expect(400))).toEqual(['#/reason too-small']);
  await owner.post('/v1/journal/close', { month: '2026-03', reason: 'Given to the auditor.' }).expect(200);
  expect(errorsOf(await writeOff(item, { accountingDate: '2026-03-31' }).expect(409))).toEqual(['#/accountingDate journal-closed']);
  expect(codeOf(await office.post(`/v1/open-items/${item.id}/write-off`, { reason: 'The bar is gone.' }).expect(403))).toBe('not-allowed');
  await writeOff(item, { accountingDate: '2026-04-25' }).expect(200);
  expect(codeOf(await writeOff(item).expect(409))).toBe('wrong-state');
  expect(errorsOf(await undo(item, { accountingDate: '2026-04-24' }).expect(422))).toEqual(['#/accountingDate outside']);
});

it('takes no payment of what was given up, and no write-off beyond the item by whoever writes', async () => {
  const { running, item } = await partlyPaid();
  await writeOff(item).expect(200);
  const paid = { agreementId: running.agreement.id, amount: usd('5.00'), method: 'bank', paidOn: '2026-05-01' };
  expect(errorsOf(await office.post('/v1/payments', paid).expect(422))).toEqual(['#/amount nothing-due']);
  const past = operator.inBooks((tx) =>
    tx.sql(
      `INSERT INTO write_off (tenant_id, id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, reason, recorded_at, recorded_by)
       VALUES ($1, gen_random_uuid(), $2, $3, $4, 'USD', 1, '2026-05-01', 'Test', now(), $5)`,
      [tx.tenantId, item.id, item.agreementId, item.partyId, tx.actor],
    ),
  );
  await expect(past).rejects.toMatchObject({ constraint: 'open_item_not_exceeded' });
  const reversal = operator.inBooks((tx) =>
    tx.sql(`INSERT INTO settlement_reversal (tenant_id, id, settlement_id, accounting_date, reason, recorded_at, recorded_by) VALUES ($1, gen_random_uuid(), $2, '2026-05-01', 'Test', now(), $3)`, [
      tx.tenantId,
      item.settlementId,
      tx.actor,
    ]),
  );
  await expect(reversal).rejects.toMatchObject({ constraint: 'settlement_reversal_without_write_off' });
});
