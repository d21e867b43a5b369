import type { BoxCount, Collection } from '#contracts/collection';
import type { ImportFile } from '#contracts/import-file';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd, visit, type Collected } from '#tests/support/collecting';
import { fitBoard } from '#tests/support/metering';
import { errorsOf, goByMeters, makeMachine, makePlacement, makeRunningSite, plainTerms } from '#tests/support/set-up';

const [FEBRUARY, MARCH] = ['2026-02-01', '2026-03-01'] as const;
let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

/** A site whose terms know two tokens. */
async function siteWithTokens() {
  const running = await makeRunningSite(office);
  const tokens = [{ tokenId: 'RED', value: '0.50' }, { tokenId: 'BLUE', value: '1.00' }];
  const terms = { ...plainTerms({ partyId: running.party.id }), tokens };
  await office.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Tokens' }).set('If-Match', '"1"').expect(201);
  return running;
}

const euros = { amount: '1.00', currency: 'EUR' };

it('keeps tokens, house coin, bad coin and what the meters imply with a count, none of them in its cash', async () => {
  const { site, machine } = await siteWithTokens();
  const beside = { tokens: [{ tokenId: 'RED', pieces: 12 }, { tokenId: 'BLUE', pieces: 3 }], houseCoin: usd('4.00'), badCoin: usd('0.50'), meteredAmount: usd('170.00') };
  const made = (await makeCollection(office, site, [count(machine, '100.00', '0.00', beside)])) as Collected & { counted: object; counts: BoxCount[] };
  expect(made.counted).toEqual(usd('100.00'));
  expect(made.counts).toMatchObject([{ ...beside, tokens: [{ tokenId: 'BLUE', pieces: 3 }, { tokenId: 'RED', pieces: 12 }] }]);
  const plain = await makeCollection(office, site, [count(machine, '100.00', '0.00')]);
  expect(plain.counts).toMatchObject([{ tokens: [], houseCoin: usd('0.00'), badCoin: usd('0.00'), meteredAmount: null }]);
});

it.each<[string, object, string, number]>([
  ['house coin below zero', { houseCoin: usd('-1.00') }, '#/counts/0/houseCoin/amount negative', 400],
  ['bad coin with too many digits', { badCoin: usd('1.001') }, '#/counts/0/badCoin/amount wrong-digits', 400],
  ['meters in another currency', { meteredAmount: euros }, '#/counts/0/meteredAmount/currency other-currency', 422],
  ['no pieces', { tokens: [{ tokenId: 'RED', pieces: 0 }] }, '#/counts/0/tokens/0/pieces too-small', 400],
  ['half a piece', { tokens: [{ tokenId: 'RED', pieces: 0.5 }] }, '#/counts/0/tokens/0/pieces wrong-type', 400],
  ['a token that the terms do not know', { tokens: [{ tokenId: 'GREEN', pieces: 1 }] }, '#/counts/0/tokens/0/tokenId unknown-token', 422],
  ['a token twice', { tokens: [{ tokenId: 'RED', pieces: 1 }, { tokenId: 'RED', pieces: 2 }] }, '#/counts/0/tokens/1/tokenId token-twice', 422],
])('refuses %s', async (_what, beside, expected, status) => {
  const { site, machine } = await siteWithTokens();
  expect(errorsOf(await office.post('/v1/collections', visit(site, [count(machine, '1.00', '0.00', beside)])).expect(status))).toEqual([expected]);
});

it('corrects them with the count, and leaves as they were those that are not named', async () => {
  const { site, machine } = await siteWithTokens();
  const beside = { tokens: [{ tokenId: 'RED', pieces: 12 }], houseCoin: usd('4.00'), badCoin: usd('0.50'), meteredAmount: usd('170.00') };
  const made = await makeCollection(office, site, [count(machine, '100.00', '0.00', beside)]);
  const correction = { countId: made.counts[0]?.id, coin: usd('90.00'), note: usd('0.00'), reason: 'A roll was counted twice.' };
  const once = (await office.post(`/v1/collections/${made.id}/corrections`, { ...correction, badCoin: usd('0.75') }).expect(200)).body as Collection;
  const standing = once.counts.find((each) => each.replacedById === null);
  expect(standing).toMatchObject({ ...beside, coin: usd('90.00'), badCoin: usd('0.75'), meteredAmount: null });
  // What the meters imply is kept from who counted until acceptance, in the answer to a correction too; it stayed as it was.
  const seen = (await api.operator.as('reviewer').get(`/v1/collections/${made.id}`).expect(200)).body as Collection;
  expect(seen.counts.find((each) => each.replacedById === null)).toMatchObject({ ...beside, coin: usd('90.00'), badCoin: usd('0.75') });
  const unknown = { ...correction, countId: standing?.id, tokens: [{ tokenId: 'GREEN', pieces: 1 }] };
  expect(errorsOf(await office.post(`/v1/collections/${made.id}/corrections`, unknown).expect(422))).toEqual(['#/tokens/0/tokenId unknown-token']);
});

describe('in the settlement', () => {
  // Another api than that of the entries, whose sites would all be closed with these.
  let own: TestApi;
  beforeAll(async () => {
    own = await startTestApi({ now: '2026-05-02T15:00:00Z' });
    office = own.operator.as('bookkeeper');
  });
  afterAll(async () => {
    office = api.operator.as('bookkeeper');
    await own?.close();
  });

  it('tokens are takings at the value of the terms, and house and bad coin are none', async () => {
    const { site, machine } = await siteWithTokens();
    const beside = { tokens: [{ tokenId: 'RED', pieces: 12 }, { tokenId: 'BLUE', pieces: 4 }], houseCoin: usd('40.00'), badCoin: usd('5.00') };
    await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00', beside)], { happenedAt: moment('2026-02-10') });
    const close = await issueMonth(own, (await closeMonth(own, FEBRUARY)).id);
    expect(close.progress).toMatchObject({ issued: 1, failed: 0 });
    const settlement = await settlementOf(own, { siteId: site.id, startsOn: FEBRUARY });
    // 12 x 0.50 and 4 x 1.00.
    expect(settlement.lines.find((line) => line.kind === 'tokens')).toMatchObject({ amount: usd('10.00'), why: { inputs: [{ label: expect.stringContaining('4 x BLUE, 12 x RED') as string }] } });
    expect(settlement.totals).toMatchObject({ takings: usd('110.00'), siteShare: usd('44.00') });
  });

  it('the meters stand in for what was counted where the terms say so, and need to be read', async () => {
    const running = await makeRunningSite(office);
    await goByMeters(office, running);
    const { site, machine } = running;
    const missing = await office.post('/v1/collections', visit(site, [count(machine)])).expect(422);
    expect(errorsOf(missing)).toEqual(['#/counts/0/meteredAmount metered-amount-missing']);
    const made = await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00', { meteredAmount: usd('120.00') })], { happenedAt: moment('2026-03-10') });
    // Whoever types what the meters imply with a count knows what the box should hold.
    expect((await office.get(`/v1/collections/${made.id}`).expect(200)).body).toMatchObject({ blind: false });
    const correction = { countId: made.counts[0]?.id, coin: usd('100.00'), note: usd('0.00'), meteredAmount: usd('110.00'), reason: 'Read again.' };
    await own.operator.as('owner').post(`/v1/collections/${made.id}/corrections`, correction).expect(200);
    // A machine whose meters are recorded is settled by what was read, and a reading corrected after issue is settled by difference.
    const metered = await makeMachine(office);
    await makePlacement(office, { machineId: metered.id, siteId: site.id });
    const { meterId } = await fitBoard(office, metered.id, { fittedAt: '2026-03-02T12:00:00Z' });
    const read = await makeAcceptedCollection(own.operator.as('owner'), site, [count(metered, '20.00', '0.00', { readings: [{ meterId, value: '00220' }] })], { happenedAt: moment('2026-03-11') });
    await countedInRoom(own, running);
    await issueMonth(own, (await closeMonth(own, MARCH)).id);
    const settlement = await settlementOf(own, { siteId: site.id, startsOn: MARCH });
    expect(settlement).toMatchObject({ state: 'issued', totals: { takings: usd('150.00'), siteShare: usd('60.00') } });
    expect(settlement.lines.find((line) => line.kind === 'metered-difference')).toMatchObject({ amount: usd('25.00') });
    const readings = (await office.get(`/v1/machines/${metered.id}/meter-readings`).expect(200)).body as { items: { id: string; collectionId: string | null }[] };
    const wrong = readings.items.find(({ collectionId }) => collectionId === read.id);
    const { body: corrected } = await office.post(`/v1/meter-readings/${wrong?.id ?? ''}/corrections`, { value: '00224', reason: 'The last digit was half turned.' }).expect(201);
    expect((await office.get('/v1/late-changes').expect(200)).body).toMatchObject({ items: [{ cause: 'correction', sourceId: (corrected as { id: string }).id }] });
  });
});

/** A bag that never came, under terms that go by the meters: counted as 0.00 by somebody who is asked nothing of the meters, which imply 15.00. */
async function countedInRoom(own: TestApi, { site, machine }: Awaited<ReturnType<typeof makeRunningSite>>): Promise<void> {
  const [bookkeeper, collector] = [own.operator.as('bookkeeper'), own.operator.as('collector')];
  const { id } = (await collector.post('/v1/collections', { siteId: site.id, happenedAt: moment('2026-03-12'), counts: [], bagged: true }).expect(201)).body as { id: string };
  const counts = (more: object = {}) => collector.post(`/v1/collections/${id}/counts`, { counts: [count(machine, '0.00', '0.00', more)] });
  expect(errorsOf(await counts({ meteredAmount: usd('0.00') }).expect(422))).toEqual(['#/counts/0/meteredAmount not-for-counter']);
  const counted = (await counts().expect(200)).body as Collection;
  expect(counted).toMatchObject({ state: 'counted', meteredMissing: [machine['tag']], meteredAmounts: null });
  const correction = { countId: counted.counts.find(({ part }) => part > 0)?.id, coin: usd('0.00'), note: usd('0.00'), reason: 'The meters were in the bag.' };
  const correct = (more: object) => bookkeeper.post(`/v1/collections/${id}/corrections`, { ...correction, ...more });
  expect(errorsOf(await correct({ meteredAmount: usd('0.00') }).expect(422))).toEqual(['#/meteredAmount not-for-counter']);
  const refusal = (await bookkeeper.post(`/v1/collections/${id}/accept`).expect(409)).body as { code: string; detail: string };
  expect(refusal.code).toBe('wrong-state');
  expect(refusal.detail).toContain(`nobody said what those of ${String(machine['tag'])} at ${String(site['code'])} on 12 March 2026 imply`);
  const meter = (client: TestClient, amounts: readonly object[]) => client.post(`/v1/collections/${id}/metered-amounts`, { amounts });
  const amount = { machineTag: machine['tag'], amount: usd('15.00') };
  expect((await meter(collector, [amount]).expect(403)).body).toMatchObject({ code: 'not-allowed-in-state' });
  const wrong = [{ ...amount, machineTag: 'M-NONE' }, { ...amount, amount: { amount: '1.00', currency: 'EUR' } }, amount];
  const refused = await meter(bookkeeper, wrong).expect(422);
  expect(errorsOf(refused)).toEqual(['#/amounts/0/machineTag unknown-machine', '#/amounts/1/amount/currency other-currency', '#/amounts/2/machineTag taken']);
  expect(refused.body.errors).toMatchObject([{ values: { machine: 'M-NONE' } }, { values: { currency: 'USD' } }, {}]);
  for (const entered of ['150.00', '15.00']) await meter(bookkeeper, [{ ...amount, amount: usd(entered) }]).expect(200);
  expect((await own.operator.as('owner').get(`/v1/collections/${id}`).expect(200)).body).toMatchObject({ blind: true, meteredMissing: [], meteredAmounts: [{ machineTag: machine['tag'], amount: usd('15.00') }] });
  await bookkeeper.post(`/v1/collections/${id}/accept`).expect(200);
  expect((await own.operator.as('reviewer').get(`/v1/collections/${id}/variances`).expect(200)).body).toMatchObject({ items: [{ tender: 'cash', source: 'typed', expected: usd('15.00'), counted: usd('0.00') }] });
  // Once in the books it is corrected with the count, and by nobody who collects.
  expect(errorsOf(await meter(bookkeeper, [amount]).expect(422))).toEqual(['#/amounts/0/machineTag said-already']);
  expect((await meter(collector, [amount]).expect(403)).body).toMatchObject({ code: 'not-allowed-in-state' });
}

describe('in a file', () => {
  const upload = async (lines: string[]): Promise<ImportFile> =>
    (await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(['site,collected_on,collected_at,machine,coin,tokens,house_coin,bad_coin,metered', ...lines].join('\n')).expect(201)).body as ImportFile;

  it('have columns of their own', async () => {
    const { site, machine } = await siteWithTokens();
    const staged = await upload([`${site['code'] as string},2026-03-12,10:00,${machine['tag'] as string},12.50,RED=3|BLUE=1,2.00,0.25,15.00`]);
    expect(staged.state).toBe('staged');
    await office.post(`/v1/imports/${staged.id}/accept`).expect(200);
    const { items } = (await office.get(`/v1/collections?siteId=${site.id}`).expect(200)).body as { items: { id: string }[] };
    expect((await office.get(`/v1/collections/${items[0]?.id ?? ''}`).expect(200)).body).toMatchObject({
      counts: [{ coin: usd('12.50'), tokens: [{ tokenId: 'BLUE', pieces: 1 }, { tokenId: 'RED', pieces: 3 }], houseCoin: usd('2.00'), badCoin: usd('0.25'), meteredAmount: usd('15.00') }],
    });
  });

  it('are held against the terms of the day', async () => {
    const [tokens, metered] = [await siteWithTokens(), await makeRunningSite(office)];
    await goByMeters(office, metered);
    const line = ({ site, machine }: typeof tokens, rest: string) => `${site['code'] as string},2026-03-13,10:00,${machine['tag'] as string},1,${rest}`;
    const staged = await upload([line(tokens, 'GREEN=1,,,'), line(metered, ',,,')]);
    expect(staged).toMatchObject({ state: 'refused', errorCounts: expect.anything() as object });
    const { items } = (await office.get(`/v1/imports/${staged.id}/errors`).expect(200)).body as { items: { lineNumber: number; column: string; code: string }[] };
    expect(items.map((each) => `${each.lineNumber} ${each.column} ${each.code}`)).toEqual(['2 tokens unknown-token', '3 metered metered-amount-missing']);
  });
});
