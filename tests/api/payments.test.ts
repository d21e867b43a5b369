import { randomUUID } from 'node:crypto';
import type { MonthEnd, MonthEndAgreement } from '#contracts/month-end';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { Settlement } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { brokenInvariants } from '#tests/support/invariants';
import { onConnection } from '#tests/support/connection';
import { errorsOf, etag, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

const [FEBRUARY, MARCH] = ['2026-02-01', '2026-03-01'];
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

const collect = (running: Running, day: string, coin: string): Promise<Made> =>
  makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day) });

async function settleAndIssue(running: Running, startsOn: string): Promise<Settlement> {
  await issueMonth(api, (await closeMonth(api, startsOn)).id);
  return settlementOf(api, { siteId: running.site.id, startsOn });
}

/** Two issued months: 40.00 of February and 20.00 of March are due to the site. */
async function twoMonthsDue(fields: Parameters<typeof makeRunningSite>[1] = {}): Promise<{ running: Running; february: Settlement; march: Settlement }> {
  const running = await makeRunningSite(office, fields);
  await collect(running, '2026-02-10', '100.00');
  await collect(running, '2026-03-10', '50.00');
  const february = await settleAndIssue(running, FEBRUARY);
  return { running, february, march: await settleAndIssue(running, MARCH) };
}

const payment = (running: Running, amount: string, more: object = {}) => ({ agreementId: running.agreement.id, amount: usd(amount), method: 'bank', paidOn: '2026-04-20', ...more });
const record = async (body: object): Promise<Payment> => (await office.post('/v1/payments', body).expect(201)).body as Payment;
const itemsOf = async (running: Running, query = ''): Promise<OpenItem[]> =>
  ((await office.get(`/v1/open-items?agreementId=${running.agreement.id}${query}`).expect(200)).body as { items: OpenItem[] }).items;
const openOf = async (running: Running): Promise<string[]> => (await itemsOf(running)).map((item) => `${item.open.amount} ${item.state}`);
const refusedWith = async (body: object): Promise<string[]> => errorsOf(await office.post('/v1/payments', body).expect(422));

/** Balances at a day by account, without the holder. */
async function balances(on: string): Promise<Record<string, string>> {
  const { accounts } = (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as { accounts: { code: string; balance: { amount: string } }[] };
  return Object.fromEntries(accounts.map(({ code, balance }) => [code.split(':')[0], balance.amount]));
}

it('leaves what an issued settlement owes as an item, and pays the oldest first', async () => {
  const { running, february, march } = await twoMonthsDue();
  expect(await itemsOf(running)).toMatchObject([
    { settlementId: february.id, number: february.number, datedOn: '2026-02-28', amount: usd('40.00'), open: usd('40.00'), state: 'open', partyId: running.party.id },
    { settlementId: march.id, datedOn: '2026-03-31', open: usd('20.00'), state: 'open' },
  ]);
  const made = await record(payment(running, '45.00', { reference: 'T-77' }));
  expect(made).toMatchObject({ state: 'matched', direction: 'to-payee', settles: usd('45.00'), unmatched: usd('0.00'), reference: 'T-77', accountingDate: '2026-04-20' });
  expect(made.matches.map(({ number, amount }) => [number, amount.amount])).toEqual([[february.number, '40.00'], [march.number, '5.00']]);
  expect(await openOf(running)).toEqual(['0.00 paid', '15.00 partly-paid']);
  expect((await itemsOf(running, '&unpaid=yes')).map((item) => item.settlementId)).toEqual([march.id]);
  expect(await balances('2026-04-20')).toMatchObject({ 'payable-to-payee': '-15.00', bank: '-45.00' });
  expect(await balances('2026-04-19')).toMatchObject({ 'payable-to-payee': '-60.00' });
});

it('pays the settlements that are named, by any of them finding the agreement', async () => {
  const { running, february, march } = await twoMonthsDue();
  const made = await record({ amount: usd('20.00'), method: 'other', paidOn: '2026-04-20', settlements: [{ settlementId: march.id }] });
  expect(made).toMatchObject({ agreementId: running.agreement.id, matches: [{ settlementId: march.id, amount: usd('20.00') }] });
  await record(payment(running, '30.00', { settlements: [{ settlementId: february.id, amount: usd('30.00') }] }));
  expect(await openOf(running)).toEqual(['10.00 partly-paid', '0.00 paid']);
  expect(await balances('2026-04-20')).toMatchObject({ 'other-means': '-20.00', bank: '-30.00', 'payable-to-payee': '-10.00' });
});

it('refuses what cannot be paid, with the field', async () => {
  const { running, february, march } = await twoMonthsDue();
  const other = await makeRunningSite(office);
  const named = (...settlements: object[]) => payment(running, '10.00', { settlements });
  expect(await refusedWith(payment(running, '60.01'))).toEqual(['#/amount larger-than-due']);
  expect(await refusedWith(payment(running, '40.01', { settlements: [{ settlementId: february.id }] }))).toEqual(['#/amount larger-than-due']);
  expect(await refusedWith(named({ settlementId: march.id, amount: usd('20.01') }))).toEqual(['#/settlements/0/amount larger-than-open']);
  expect(await refusedWith(named({ settlementId: march.id, amount: usd('11.00') }))).toEqual(['#/amount does-not-add-up']);
  expect(await refusedWith(named({ settlementId: march.id }, { settlementId: march.id }))).toEqual(['#/settlements/1/settlementId item-named-twice']);
  expect(await refusedWith(named({ settlementId: randomUUID() }))).toEqual(['#/settlements/0/settlementId unknown']);
  expect(await refusedWith({ ...named({ settlementId: march.id }), agreementId: other.agreement.id })).toEqual(['#/settlements/0/settlementId other-agreement']);
  expect(await refusedWith(payment(other, '1.00'))).toEqual(['#/amount nothing-due']);
  expect(await refusedWith(payment(running, '1.00', { direction: 'from-payee' }))).toEqual(['#/amount nothing-due']);
  expect(await refusedWith(payment(running, '1.00', { agreementId: randomUUID() }))).toEqual(['#/agreementId unknown']);
  expect(await refusedWith(payment(running, '1.00', { partyId: other.party.id }))).toEqual(['#/partyId no-payee']);
  expect(await refusedWith(payment(running, '1.00', { paidOn: '2026-05-03' }))).toEqual(['#/paidOn in-the-future']);
  expect(await refusedWith(payment(running, '1.00', { paidOn: '2026-02-27' }))).toEqual(['#/paidOn before-item']);
  expect(await refusedWith({ ...payment(running, '1.00'), amount: { amount: '1.00', currency: 'EUR' } })).toEqual(['#/amount/currency other-currency']);
  const malformed = async (body: object): Promise<string[]> => errorsOf(await office.post('/v1/payments', body).expect(400));
  expect(await malformed(payment(running, '0.00'))).toEqual(['#/amount/amount not-positive']);
  expect(await malformed({ amount: usd('1.00'), method: 'bank', paidOn: '2026-04-20' })).toEqual(['#/agreementId missing']);
  expect(await malformed(payment(running, '1.00', { onAccount: true, settlements: [{ settlementId: march.id }] }))).toEqual(['#/settlements on-account']);
  expect(await openOf(running)).toEqual(['40.00 open', '20.00 open']);
});

it('takes a repeated request once, and an id once', async () => {
  const { running } = await twoMonthsDue();
  const key = randomUUID();
  const body = payment(running, '10.00', { id: randomUUID() });
  const [first, again] = [await office.post('/v1/payments', body).set('Idempotency-Key', key).expect(201), await office.post('/v1/payments', body).set('Idempotency-Key', key).expect(201)];
  expect(again.body).toEqual(first.body);
  expect(again.headers['idempotency-replayed']).toBe('true');
  expect(errorsOf(await office.post('/v1/payments', body).expect(409))).toEqual(['#/id taken']);
  expect(await openOf(running)).toEqual(['30.00 partly-paid', '20.00 open']);
});

it('never lets payments at the same moment exceed an item', async () => {
  const { running, february } = await twoMonthsDue();
  const answers = await Promise.all(Array.from({ length: 6 }, () => office.post('/v1/payments', payment(running, '40.00', { settlements: [{ settlementId: february.id }] }))));
  expect(answers.map(({ status }) => status).sort()).toEqual([201, 422, 422, 422, 422, 422]);
  expect(await openOf(running)).toEqual(['0.00 paid', '20.00 open']);
  // Whoever passes by the use case meets the same rule in the database.
  const beyond = operator.inBooks((tx) =>
    tx.sql(
      `INSERT INTO payment_match (tenant_id, id, kind, payment_id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, recorded_at, recorded_by)
       SELECT tenant_id, uuidv7(), 'matched', payment_id, open_item_id, agreement_id, party_id, currency, 1, accounting_date, recorded_at, recorded_by FROM payment_match LIMIT 1`,
    ),
  );
  await expect(beyond).rejects.toMatchObject({ constraint: 'open_item_not_exceeded' });
});

it('opens items again when a payment comes back, and says when they are paid again', async () => {
  const { running } = await twoMonthsDue();
  const made = await record(payment(running, '60.00'));
  const back = (body: object) => office.post(`/v1/payments/${made.id}/return`, body);
  expect(errorsOf(await back({ returnedOn: '2026-04-19', reason: 'Account closed' }).expect(422))).toEqual(['#/returnedOn before-payment']);
  expect(errorsOf(await back({ returnedOn: '2026-05-03', reason: 'Account closed' }).expect(422))).toEqual(['#/returnedOn in-the-future']);
  const returned = (await back({ returnedOn: '2026-04-24', reason: 'Account closed' }).expect(200)).body as Payment;
  expect(returned).toMatchObject({ state: 'returned', matches: [], unmatched: usd('0.00') });
  expect(returned.history.map(({ kind, on, note }) => [kind, on, note]).at(-1)).toEqual(['returned', '2026-04-24', 'Account closed']);
  expect(await openOf(running)).toEqual(['40.00 returned', '20.00 returned']);
  expect((await itemsOf(running)).map((item) => item.datedOn)).toEqual(['2026-02-28', '2026-03-31']);
  expect(await balances('2026-04-24')).toMatchObject({ 'payable-to-payee': '-60.00', bank: '0.00' });
  expect(await balances('2026-04-23')).toMatchObject({ 'payable-to-payee': '0.00', bank: '-60.00' });
  expect((await back({ returnedOn: '2026-04-24', reason: 'Account closed' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect((await office.post(`/v1/payments/${made.id}/match`, {}).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  await record(payment(running, '60.00', { paidOn: '2026-04-28' }));
  expect(await openOf(running)).toEqual(['0.00 paid-again', '0.00 paid-again']);
});

it('holds a disputed item until it is released', async () => {
  const { running, february } = await twoMonthsDue();
  const [item] = await itemsOf(running);
  const act = (verb: string, note = 'The bar disputes a slip.') => office.post(`/v1/open-items/${item?.id ?? ''}/${verb}`, { note });
  expect((await act('release').expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect((await act('hold').expect(200)).body).toMatchObject({ state: 'disputed', open: usd('40.00'), history: [{ kind: 'held', note: 'The bar disputes a slip.', happenedBy: `user:${office.id}` }] });
  expect((await act('hold').expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect(await refusedWith(payment(running, '40.00', { settlements: [{ settlementId: february.id }] }))).toEqual(['#/settlements/0/settlementId item-held']);
  // Without naming any, the younger one is paid.
  await record(payment(running, '20.00'));
  expect(await openOf(running)).toEqual(['40.00 disputed', '0.00 paid']);
  await act('release', 'The slip was found.').expect(200);
  await record(payment(running, '40.00'));
  expect(await openOf(running)).toEqual(['0.00 paid', '0.00 paid']);
  expect((await act('hold').expect(409)).body).toMatchObject({ code: 'wrong-state' });
});

it('takes a payment off its items and matches it with others', async () => {
  const { running, february, march } = await twoMonthsDue();
  const made = await record(payment(running, '30.00'));
  const act = (verb: string, body: object) => office.post(`/v1/payments/${made.id}/${verb}`, body);
  expect((await act('match', {}).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect((await act('unmatch', { note: 'Meant for March.' }).expect(200)).body).toMatchObject({ state: 'unmatched', unmatched: usd('30.00'), matches: [] });
  expect((await act('unmatch', { note: 'Meant for March.' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect(await openOf(running)).toEqual(['40.00 open', '20.00 open']);
  expect((await act('match', { settlements: [{ settlementId: march.id }] }).expect(200)).body).toMatchObject({ state: 'partly-matched', unmatched: usd('10.00') });
  expect(errorsOf(await act('match', { settlements: [{ settlementId: march.id }] }).expect(422))).toEqual(['#/settlements/0/settlementId item-settled']);
  const whole = (await act('match', {}).expect(200)).body as Payment;
  expect(whole).toMatchObject({ state: 'matched', unmatched: usd('0.00') });
  expect(new Set(whole.matches.map(({ settlementId }) => settlementId))).toEqual(new Set([february.id, march.id]));
  expect(whole.history.map(({ kind }) => kind)).toEqual(['recorded', 'matched', 'unmatched', 'matched', 'matched']);
  expect(await balances('2026-05-02')).toMatchObject({ 'payable-to-payee': '-30.00', bank: '-30.00' });
});

it('pays in cash to the nearest coin, and books the difference apart', async () => {
  const running = await makeRunningSite(office);
  const terms = { ...plainTerms({ partyId: running.party.id }), payout: { smallest: '0.00', negative: 'carry', smallestCoin: '0.05' } };
  await office.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Coins' }).set('If-Match', etag(running.agreement)).expect(201);
  // 40 % of 12.30 is 4.92: Canada Budget 2012 pays 4.90 for it in cash.
  await collect(running, '2026-02-10', '12.30');
  await settleAndIssue(running, FEBRUARY);
  const cash = (amount: string) => payment(running, amount, { method: 'cash' });
  expect(await refusedWith(cash('4.92'))).toEqual(['#/amount not-payable-in-coins']);
  expect(await refusedWith(cash('4.95'))).toEqual(['#/amount larger-than-due']);
  expect(await record(cash('4.90'))).toMatchObject({ amount: usd('4.90'), settles: usd('4.92'), state: 'matched' });
  expect(await openOf(running)).toEqual(['0.00 paid']);
  const after = await balances('2026-04-20');
  expect(after).toMatchObject({ 'payable-to-payee': '0.00', 'cash-rounding': '-0.02', 'cash-in-counting-room': '7.40' });
});

it('sets a payment on account off in the next settlement, once', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-02-10', '100.00');
  const made = await record(payment(running, '15.00', { onAccount: true, paidOn: '2026-02-12' }));
  expect(made).toMatchObject({ kind: 'on-account', state: 'on-account', matches: [], setOffIn: null });
  expect(await balances('2026-02-28')).toMatchObject({ 'cash-handed': '15.00', bank: '-15.00' });
  const close = await closeMonth(api, FEBRUARY ?? '');
  // Another one makes the draft stale, and it is taken in when it is computed again.
  const second = await record(payment(running, '5.00', { onAccount: true, paidOn: '2026-02-20' }));
  const draft = await settlementOf(api, { siteId: running.site.id, startsOn: FEBRUARY ?? '' });
  expect((await office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', `"${draft.revision}"`).expect(409)).body).toMatchObject({ code: 'draft-is-stale', detail: expect.stringContaining('paid on account') });
  await office.post(`/v1/settlements/${draft.id}/recompute`).expect(200);
  await issueMonth(api, close.id);
  const february = await settlementOf(api, { siteId: running.site.id, startsOn: FEBRUARY ?? '' });
  expect(february.totals).toMatchObject({ siteShare: usd('40.00'), payable: usd('20.00') });
  const line = february.lines.find(({ kind }) => kind === 'payee-handed-cash');
  expect(line?.why?.inputs.map(({ label }) => label)).toEqual([expect.stringMatching(/^Paid on account on \d+ February 2026$/)]);
  for (const { id } of [made, second]) {
    expect((await office.get(`/v1/payments/${id}`).expect(200)).body).toMatchObject({ state: 'set-off', setOffIn: { number: february.number } });
  }
  expect((await office.post(`/v1/payments/${made.id}/return`, { returnedOn: '2026-04-24', reason: 'Account closed' }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  await collect(running, '2026-03-10', '50.00');
  expect((await settleAndIssue(running, MARCH ?? '')).totals.payable).toEqual(usd('20.00'));
  expect(await balances('2026-04-30')).toMatchObject({ 'cash-handed': '0.00', 'payable-to-payee': '-40.00' });
});

it('forgets a payment on account that came back before it was set off', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-02-10', '100.00');
  const made = await record(payment(running, '15.00', { onAccount: true, paidOn: '2026-02-12' }));
  await office.post(`/v1/payments/${made.id}/return`, { returnedOn: '2026-02-20', reason: 'Account closed' }).expect(200);
  expect((await settleAndIssue(running, FEBRUARY ?? '')).totals.payable).toEqual(usd('40.00'));
});

it('takes what a payee owes, where a settlement ends below zero', async () => {
  const running = await makeRunningSite(office);
  const terms = { ...plainTerms({ partyId: running.party.id }), payout: { smallest: '0.00', negative: 'claim', smallestCoin: null } };
  await office.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Owed' }).set('If-Match', etag(running.agreement)).expect(201);
  await collect(running, '2026-02-10', '100.00');
  await record(payment(running, '55.00', { onAccount: true, paidOn: '2026-02-12' }));
  await settleAndIssue(running, FEBRUARY ?? '');
  expect(await itemsOf(running)).toMatchObject([{ amount: usd('-15.00'), open: usd('-15.00'), state: 'open' }]);
  expect(await refusedWith(payment(running, '15.00'))).toEqual(['#/amount nothing-due']);
  expect(await record(payment(running, '15.00', { direction: 'from-payee' }))).toMatchObject({ direction: 'from-payee', amount: usd('15.00'), settles: usd('15.00'), state: 'matched' });
  expect(await openOf(running)).toEqual(['0.00 paid']);
  expect(await balances('2026-04-20')).toMatchObject({ 'payable-to-payee': '0.00', bank: '-40.00' });
});

it('tells the month end how far each statement is paid, and who owes what is open', async () => {
  const running = await makeRunningSite(office);
  await collect(running, '2026-02-10', '100.00');
  const owed = await makeRunningSite(office);
  const terms = { ...plainTerms({ partyId: owed.party.id }), payout: { smallest: '0.00', negative: 'claim', smallestCoin: null } };
  await office.post(`/v1/agreements/${owed.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Owed' }).set('If-Match', etag(owed.agreement)).expect(201);
  await collect(owed, '2026-02-10', '100.00');
  await record(payment(owed, '55.00', { onAccount: true, paidOn: '2026-02-12' }));
  await makeRunningSite(office);
  const read = async () => {
    const { counts } = (await office.get(`/v1/month-end?cycle=month&startsOn=${FEBRUARY}`).expect(200)).body as MonthEnd;
    const { items } = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${FEBRUARY}`).expect(200)).body as { items: MonthEndAgreement[] };
    const { unpaid, partlyPaid, disputed, paid, toReceive } = counts;
    return { counts: [unpaid, partlyPaid, disputed, paid, toReceive], of: (site: Made) => items.find(({ siteId }) => siteId === site.id)?.payment };
  };
  const { id } = await closeMonth(api, FEBRUARY);
  // A draft leaves nothing to be paid yet.
  expect((await read()).counts).toEqual([0, 0, 0, 0, 0]);
  expect((await read()).of(owed.site)).toBeNull();
  await issueMonth(api, id);
  expect((await read()).counts).toEqual([2, 0, 0, 0, 1]);
  expect((await read()).of(owed.site)).toEqual({ state: 'open', toPay: usd('0.00'), toReceive: usd('15.00') });
  await record(payment(owed, '5.00', { direction: 'from-payee' }));
  const whole = await record(payment(running, '40.00'));
  expect((await read()).counts).toEqual([0, 1, 0, 1, 1]);
  expect((await read()).of(owed.site)).toEqual({ state: 'partly-paid', toPay: usd('0.00'), toReceive: usd('10.00') });
  expect((await read()).of(running.site)).toEqual({ state: 'paid', toPay: usd('0.00'), toReceive: usd('0.00') });
  await office.post(`/v1/payments/${whole.id}/return`, { returnedOn: '2026-04-24', reason: 'Account closed' }).expect(200);
  expect((await read()).of(running.site)).toEqual({ state: 'open', toPay: usd('40.00'), toReceive: usd('0.00') });
  const [item] = await itemsOf(running);
  await office.post(`/v1/open-items/${item?.id ?? ''}/hold`, { note: 'The bar disputes a slip.' }).expect(200);
  expect((await read()).counts).toEqual([0, 1, 1, 0, 1]);
  expect((await read()).of(running.site)).toEqual({ state: 'disputed', toPay: usd('40.00'), toReceive: usd('0.00') });
  await operator.as('owner').post(`/v1/open-items/${item?.id ?? ''}/write-off`, { reason: 'They never asked.' }).expect(200);
  expect((await read()).of(running.site)).toEqual({ state: 'paid', toPay: usd('0.00'), toReceive: usd('0.00') });
});

it('shows a site manager the payments and items of their own site, without what the office notes', async () => {
  const { running } = await twoMonthsDue({ site: { id: operator.siteId } });
  const stranger = await makeRunningSite(office);
  await record(payment(running, '10.00'));
  const elsewhere = await record(payment(stranger, '1.00', { onAccount: true }));
  const [item] = await itemsOf(running);
  await office.post(`/v1/open-items/${item?.id ?? ''}/hold`, { note: 'The bar disputes a slip.' }).expect(200);
  const manager = operator.as('site-manager');
  const { items } = (await manager.get('/v1/payments').expect(200)).body as { items: Payment[] };
  expect(items.map(({ siteId, history }) => [siteId, history[0]?.happenedBy])).toEqual([[operator.siteId, 'operator']]);
  const own = ((await manager.get('/v1/open-items').expect(200)).body as { items: OpenItem[] }).items;
  expect(own.map(({ siteId, history }) => [siteId, history.map(({ note }) => note)])).toEqual([[operator.siteId, [null]], [operator.siteId, []]]);
  await manager.get(`/v1/payments/${elsewhere.id}`).expect(404);
});

it('lists page by page', async () => {
  const { running } = await twoMonthsDue();
  for (const paidOn of ['2026-04-20', '2026-04-21', '2026-04-21']) await record(payment(running, '1.00', { paidOn }));
  const walk = async <Item>(path: string): Promise<Item[]> => {
    const seen: Item[] = [];
    for (let cursor: string | null = ''; cursor !== null; ) {
      const page: { items: Item[]; next: string | null } = (await office.get(`${path}${cursor === '' ? '' : `&cursor=${cursor}`}`).expect(200)).body;
      seen.push(...page.items);
      cursor = page.next;
    }
    return seen;
  };
  expect((await walk<Payment>('/v1/payments?limit=2')).map(({ paidOn }) => paidOn)).toEqual(['2026-04-21', '2026-04-21', '2026-04-20']);
  expect((await walk<OpenItem>('/v1/open-items?limit=1')).map(({ datedOn }) => datedOn)).toEqual(['2026-02-28', '2026-03-31']);
  await office.get('/v1/payments?cursor=nonsense').expect(400);
  await office.get('/v1/open-items?cursor=nonsense').expect(400);
});
