import type { TrialBalance } from '#contracts/journal';
import type { TaxPayment } from '#contracts/tax-payment';
import type { TaxWorksheet } from '#contracts/tax-return';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { errorsOf, makeRunningSite, makeTaxArea, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let area: Made;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
  area = await makeTaxArea(office);
  const document = {
    method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', negative: 'zero', capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State', ratePercent: '4' }],
  };
  await office.post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented for this test.', document }).expect(201);
});
afterEach(async () => expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]));

const worksheet = async (): Promise<TaxWorksheet> => (await office.get(`/v1/tax-areas/${area.id}/worksheet?month=2026-03`).expect(200)).body as TaxWorksheet;
const pay = (more: object = {}) => office.post(`/v1/tax-areas/${area.id}/payments`, { month: '2026-03', amount: usd('3.00'), method: 'bank', paidOn: '2026-04-20', reference: 'DR-1', ...more });
const due = async (on = '2026-05-02'): Promise<string | undefined> =>
  ((await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as TrialBalance).accounts.find(({ code }) => code === `tax-due:${area.id}`)?.balance.amount;

type Running = Awaited<ReturnType<typeof makeRunningSite>>;
const collect = (running: Running, coin: string): Promise<Made> => makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment('2026-03-10') });

async function file(filedOn = '2026-04-10'): Promise<void> {
  const { digest } = await worksheet();
  await office.post(`/v1/tax-areas/${area.id}/returns`, { month: '2026-03', filedOn, digest }).expect(201);
}

/** 104.00 inside 4 %: a tax of 4.00 is filed. */
async function filed(): Promise<Running> {
  const running = await makeRunningSite(office, { site: { taxAreaId: area.id } });
  await collect(running, '104.00');
  await file();
  return running;
}

it('pays the authority out of what is owed, and shows on the worksheet what is paid and open', async () => {
  await filed();
  expect(await due()).toBe('-4.00');
  expect((await worksheet()).authority).toEqual({ due: usd('4.00'), paid: usd('0.00'), open: usd('4.00') });
  const made = (await pay().expect(201)).body as TaxPayment;
  expect(made).toMatchObject({ month: '2026-03', direction: 'to-authority', amount: usd('3.00'), reference: 'DR-1', accountingDate: '2026-04-20', returned: null });
  expect((await worksheet()).authority).toEqual({ due: usd('4.00'), paid: usd('3.00'), open: usd('1.00') });
  expect([await due('2026-04-19'), await due()]).toEqual(['-4.00', '-1.00']);
  const csv = (await office.get(`/v1/tax-areas/${area.id}/worksheet/export?month=2026-03`).expect(200)).text;
  expect(csv).toMatch(/\r\npaid,[^\r]*,,3\.00,\r\nopen,[^\r]*,,1\.00,\r\n/);
  expect((await office.get(`/v1/tax-areas/${area.id}/payments?month=2026-03`).expect(200)).body).toMatchObject({ items: [{ id: made.id }] });
  expect((await office.get(`/v1/tax-areas/${area.id}/payments?month=2026-02`).expect(200)).body).toMatchObject({ items: [] });
  // What comes back is owed again.
  const back = await office.post(`/v1/tax-areas/${area.id}/payments/${made.id}/return`, { returnedOn: '2026-04-22', reason: 'Wrong account.' }).expect(200);
  expect(back.body).toMatchObject({ returned: { returnedOn: '2026-04-22', reason: 'Wrong account.' } });
  expect((await worksheet()).authority.open).toEqual(usd('4.00'));
  expect(await due()).toBe('-4.00');
  await office.post(`/v1/tax-areas/${area.id}/payments/${made.id}/return`, { returnedOn: '2026-04-22', reason: 'Wrong account.' }).expect(409);
});

it('takes a refund after an amended return that owes less, and no more than that', async () => {
  const running = await filed();
  await pay({ amount: usd('4.00') }).expect(201);
  const [collection] = ((await office.get(`/v1/collections?siteId=${running.site.id}`).expect(200)).body as { items: Made[] }).items;
  const { counts } = (await office.get(`/v1/collections/${collection?.id ?? ''}`).expect(200)).body as { counts: { id: string }[] };
  await api.operator.as('owner').post(`/v1/collections/${collection?.id ?? ''}/corrections`, { countId: counts[0]?.id, coin: usd('52.00'), note: usd('0.00'), reason: 'Counted again.' }).expect((answer) => expect(answer.status).toBeLessThan(300));
  await file('2026-05-01');
  expect((await worksheet()).authority).toEqual({ due: usd('2.00'), paid: usd('4.00'), open: usd('-2.00') });
  expect(errorsOf(await pay({ amount: usd('0.01') }).expect(422))).toEqual(['#/amount larger-than-due']);
  expect(errorsOf(await pay({ direction: 'from-authority', amount: usd('2.01'), paidOn: '2026-05-02' }).expect(422))).toEqual(['#/amount larger-than-due']);
  expect((await pay({ direction: 'from-authority', amount: usd('2.00'), paidOn: '2026-05-02' }).expect(201)).body).toMatchObject({ direction: 'from-authority', amount: usd('2.00') });
  expect((await worksheet()).authority.open).toEqual(usd('0.00'));
  expect(await due()).toBe('0.00');
});

it('refuses what is not filed, more than is due, another currency, wrong days and closed months', async () => {
  expect(errorsOf(await pay().expect(422))).toEqual(['#/month not-filed']);
  await filed();
  expect(errorsOf(await pay({ amount: usd('4.01') }).expect(422))).toEqual(['#/amount larger-than-due']);
  expect(errorsOf(await pay({ direction: 'from-authority' }).expect(422))).toEqual(['#/amount larger-than-due']);
  expect(errorsOf(await pay({ amount: { amount: '1.00', currency: 'EUR' } }).expect(422))).toEqual(['#/amount/currency other-currency']);
  expect(errorsOf(await pay({ amount: usd('0.00') }).expect(400))).toEqual(['#/amount/amount not-positive']);
  expect(errorsOf(await pay({ paidOn: '2026-05-03' }).expect(422))).toEqual(['#/paidOn in-the-future']);
  expect(errorsOf(await pay({ accountingDate: '2026-04-19' }).expect(422))).toEqual(['#/accountingDate outside']);
  const made = (await pay().expect(201)).body as TaxPayment;
  const back = (body: object) => office.post(`/v1/tax-areas/${area.id}/payments/${made.id}/return`, { reason: 'Wrong account.', ...body });
  expect(errorsOf(await back({ returnedOn: '2026-04-19' }).expect(422))).toEqual(['#/returnedOn outside']);
  await api.operator.as('owner').post('/v1/journal/close', { month: '2026-04', reason: 'Given to the auditor.' }).expect(200);
  expect(errorsOf(await pay({ amount: usd('1.00') }).expect(409))).toEqual(['#/paidOn journal-closed']);
  expect(errorsOf(await back({ returnedOn: '2026-04-22' }).expect(409))).toEqual(['#/returnedOn journal-closed']);
  await pay({ amount: usd('1.00'), accountingDate: '2026-05-01' }).expect(201);
  expect(await due('2026-04-30')).toBe('-1.00');
});
