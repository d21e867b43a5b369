import { randomUUID } from 'node:crypto';
import type { Collection } from '#contracts/collection';
import type { TrialBalance } from '#contracts/journal';
import type { LateChange, Settlement } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeRunningSite, type Made } from '#tests/support/set-up';

const [MARCH, APRIL, MAY] = ['2026-03-01', '2026-04-01', '2026-05-01'] as const;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;
type Whole = Collection & Made;

let api: TestApi;
let office: TestClient;
let owner: TestClient;
const freshApi = apiForAllTests({ now: '2026-06-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
  owner = api.operator.as('owner');
});

/** A visit of March with 100.00 counted, 3.00 refunded and 20.00 handed over, entered by the bookkeeper. */
const entries = ({ machine }: Running, paidBy = 'site') => ({
  happenedAt: moment('2026-03-10'),
  refunds: [{ machineTag: machine['tag'], refundedOn: '2026-03-09', amount: usd('3.00'), paidBy }],
  cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Kim at the bar' }],
});
const counts = ({ machine }: Running) => [count(machine, '100.00', '0.00')];
const accepted = async (running: Running, paidBy?: string): Promise<Whole> => (await makeAcceptedCollection(office, running.site, counts(running), entries(running, paidBy))) as unknown as Whole;
const waiting = async (running: Running): Promise<Whole> => (await makeCollection(office, running.site, counts(running), entries(running))) as unknown as Whole;

const slipCorrection = (made: Whole, amount: string, more: object = {}) => ({ refundSlipId: made.refundSlips.find((slip) => slip.replacedById === null)?.id, amount: usd(amount), reason: 'The slip says so.', ...more });
const handedCorrection = (made: Whole, amount: string, more: object = {}) => ({ cashHandedId: made.cashHanded.find((each) => each.replacedById === null)?.id, amount: usd(amount), reason: 'The receipt says so.', ...more });
const correctSlip = (client: TestClient, made: Whole, body: object) => client.post(`/v1/collections/${made.id}/refund-slip-corrections`, body);
const correctHanded = (client: TestClient, made: Whole, body: object) => client.post(`/v1/collections/${made.id}/cash-handed-corrections`, body);

const issue = async (startsOn: string): Promise<void> => {
  expect((await issueMonth(api, (await closeMonth(api, startsOn)).id)).progress.running).toBe(false);
};
const settled = ({ site }: Running, startsOn: string): Promise<Settlement> => settlementOf(api, { siteId: site.id, startsOn });
const lateChanges = async (): Promise<string[]> => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items.map((change) => `${change.startsOn} ${change.cause}`);
async function balanceOf(code: string): Promise<string | undefined> {
  const { accounts } = (await office.get('/v1/journal/trial-balance?on=2026-12-31').expect(200)).body as TrialBalance;
  return accounts.find((account) => account.code.startsWith(code))?.balance.amount;
}

it('keeps the first slip and the first hand-out legible, with who corrected them, when and why', async () => {
  const made = await accepted(await makeRunningSite(office));
  expect((await correctSlip(office, made, slipCorrection(made, '4.00')).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect((await correctHanded(office, made, handedCorrection(made, '25.00')).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await correctSlip(owner, made, slipCorrection(made, '4.00', { paidBy: 'operator' })).expect(200);
  const after = (await correctHanded(owner, made, handedCorrection(made, '25.00', { acknowledgedBy: 'Lee' })).expect(200)).body as Whole;
  const recordedBy = `user:${owner.id}`;
  const recordedAt = '2026-06-02T15:00:00.000Z';
  expect(after).toMatchObject({ refunds: usd('4.00'), handed: usd('25.00') });
  expect(new Map(after.refundSlips.map((slip) => [slip.amount.amount, slip]))).toEqual(
    new Map([
      ['3.00', expect.objectContaining({ paidBy: 'site', replacesId: null, replacedById: expect.any(String) as string, reason: null })],
      ['4.00', expect.objectContaining({ paidBy: 'operator', replacesId: made.refundSlips[0]?.id, replacedById: null, reason: 'The slip says so.', recordedAt, recordedBy })],
    ]),
  );
  expect(new Map(after.cashHanded.map((each) => [each.amount.amount, each]))).toEqual(
    new Map([
      ['20.00', expect.objectContaining({ acknowledgedBy: 'Kim at the bar', replacedById: expect.any(String) as string })],
      ['25.00', expect.objectContaining({ acknowledgedBy: 'Lee', replacesId: made.cashHanded[0]?.id, reason: 'The receipt says so.', recordedAt, recordedBy })],
    ]),
  );
  // The first ones were corrected already.
  expect((await correctSlip(owner, made, slipCorrection(made, '5.00')).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect((await correctHanded(owner, made, handedCorrection(made, '5.00')).expect(409)).body).toMatchObject({ code: 'wrong-state' });
});

it('needs no second person before acceptance, and posts what stands', async () => {
  const running = await makeRunningSite(office);
  const made = await waiting(running);
  await correctSlip(office, made, slipCorrection(made, '4.00', { paidBy: 'operator' })).expect(200);
  await correctHanded(office, made, handedCorrection(made, '0.00')).expect(200);
  await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  expect([await balanceOf('cash-in-counting-room'), await balanceOf('refunds-advanced-by-operator'), await balanceOf('cash-handed')]).toEqual(['96.00', '4.00', undefined]);
});

it.each<[string, (made: Whole) => { slip?: object; handed?: object }, string, number]>([
  ['a slip below zero', (made) => ({ slip: slipCorrection(made, '-1.00') }), '#/amount/amount negative', 400],
  ['a slip with too many digits', (made) => ({ slip: slipCorrection(made, '1.001') }), '#/amount/amount wrong-digits', 400],
  ['a slip in another currency', (made) => ({ slip: { ...slipCorrection(made, '1.00'), amount: { amount: '1.00', currency: 'EUR' } } }), '#/amount/currency other-currency', 422],
  ['a slip of another collection', (made) => ({ slip: { ...slipCorrection(made, '1.00'), refundSlipId: randomUUID() } }), '#/refundSlipId unknown', 422],
  ['a slip under an id that is taken', (made) => ({ slip: slipCorrection(made, '1.00', { id: made.refundSlips[0]?.id }) }), '#/id taken', 409],
  ['a slip without a reason', (made) => ({ slip: slipCorrection(made, '1.00', { reason: '' }) }), '#/reason too-small', 400],
  ['a hand-out below zero', (made) => ({ handed: handedCorrection(made, '-1.00') }), '#/amount/amount negative', 400],
  ['a hand-out in another currency', (made) => ({ handed: { ...handedCorrection(made, '1.00'), amount: { amount: '1.00', currency: 'EUR' } } }), '#/amount/currency other-currency', 422],
  ['a hand-out of another collection', (made) => ({ handed: { ...handedCorrection(made, '1.00'), cashHandedId: randomUUID() } }), '#/cashHandedId unknown', 422],
  ['a hand-out of more than was counted', (made) => ({ handed: handedCorrection(made, '100.01') }), '#/amount more-than-counted', 422],
  // 20.00 of the 100.00 were handed out.
  ['a slip of the operator over more than is left in the boxes', (made) => ({ slip: slipCorrection(made, '80.01', { paidBy: 'operator' }) }), '#/amount more-than-counted', 422],
  ['a hand-out under an id that is taken', (made) => ({ handed: handedCorrection(made, '1.00', { id: made.cashHanded[0]?.id }) }), '#/id taken', 409],
])('refuses %s', async (_what, bodyOf, expected, status) => {
  const made = await accepted(await makeRunningSite(office));
  const { slip, handed } = bodyOf(made);
  const answer = slip === undefined ? await correctHanded(owner, made, handed ?? {}) : await correctSlip(owner, made, slip);
  expect([answer.status, errorsOf(answer)]).toEqual([status, [expected]]);
});

it('settles a slip that is corrected after issue by difference', async () => {
  const running = await makeRunningSite(office);
  const made = await accepted(running);
  await issue(MARCH);
  // 97.00 net: 38.80 of share, 3.00 refunded by the site, 20.00 handed over.
  expect((await settled(running, MARCH)).totals).toMatchObject({ refunds: usd('3.00'), payable: usd('21.80') });
  await correctSlip(owner, made, slipCorrection(made, '8.00')).expect(200);
  expect(await lateChanges()).toEqual([`${MARCH} correction`]);
  await issue(APRIL);
  // 5.00 more refunded by the site, of which it bears 40 percent.
  expect((await settled(running, APRIL)).totals).toMatchObject({ payable: usd('3.00') });
  expect(await lateChanges()).toEqual([]);
});

it('gives back a slip of the operator\'s own cash by its difference', async () => {
  const running = await makeRunningSite(office);
  const made = await accepted(running, 'operator');
  expect([await balanceOf('cash-in-counting-room'), await balanceOf('refunds-advanced-by-operator')]).toEqual(['77.00', '3.00']);
  await correctSlip(owner, made, slipCorrection(made, '0.00')).expect(200);
  expect([await balanceOf('cash-in-counting-room'), await balanceOf('refunds-advanced-by-operator') ?? '0.00']).toEqual(['80.00', '0.00']);
  await issue(MARCH);
  expect((await settled(running, MARCH)).totals).toMatchObject({ refunds: usd('0.00'), siteShare: usd('40.00') });
});

it('sets off a hand-out that is corrected after issue by its differences, each once', async () => {
  const running = await makeRunningSite(office);
  const made = await accepted(running);
  await issue(MARCH);
  const after = (await correctHanded(owner, made, handedCorrection(made, '25.00')).expect(200)).body as Whole;
  await correctHanded(office, after, handedCorrection(after, '12.00')).expect(200);
  expect(await lateChanges()).toEqual([`${MARCH} handed`, `${MARCH} handed`]);
  await issue(APRIL);
  const april = await settled(running, APRIL);
  expect(april.lines.filter((line) => line.kind === 'payee-handed-cash').map((line) => line.amount.amount).sort()).toEqual(['-5.00', '13.00']);
  expect(april).toMatchObject({ state: 'issued', totals: { earlier: usd('0.00'), payable: usd('8.00') } });
  expect(await lateChanges()).toEqual([]);
  // Nothing of it is left to settle, nor in the account of what was handed over.
  expect((await closeMonth(api, MAY)).progress).toMatchObject({ settled: 0, failed: 0 });
  expect((await balanceOf('cash-handed')) ?? '0.00').toBe('0.00');
});

it('sets off a late collection\'s hand-out as it stands, corrected before it was settled', async () => {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, counts(running), { happenedAt: moment('2026-03-05') });
  await issue(MARCH);
  const late = await accepted(running);
  await correctHanded(owner, late, handedCorrection(late, '12.00')).expect(200);
  await issue(APRIL);
  expect((await settled(running, APRIL)).lines.filter((line) => line.kind === 'payee-handed-cash').map((line) => line.amount.amount)).toEqual(['-12.00']);
});
