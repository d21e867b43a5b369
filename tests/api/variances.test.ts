import type { Settlement } from '#contracts/settlement';
import type { VarianceAttribution } from '#contracts/variance-attribution';
import type { VarianceReport } from '#contracts/variance-report';
import type { VarianceChart, VarianceFlagDetail, VarianceMonth } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { bindToPerson, heldBy, inStore, keyBooks } from '#tests/support/keys';
import { errorsOf, etag, makePerson, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  owner = api.operator.as('owner');
  office = api.operator.as('bookkeeper');
  collector = api.operator.as('collector');
  reviewer = api.operator.as('reviewer');
});
afterAll(() => api?.close());

const at = (day: string, minute = 0) => `${day}T15:${String(minute).padStart(2, '0')}:00-05:00`;

/** Counted by a collector and accepted by the office. */
async function counted(running: Running, day: string, [coin, note, metered]: [string, string, string], more: object = {}): Promise<Made & { counts: { id: string }[] }> {
  const made = await makeCollection(collector, running.site, [count(running.machine, coin, note, { meteredAmount: usd(metered) })], { happenedAt: at(day), ...more });
  return (await office.post(`/v1/collections/${made.id}/accept`).expect(200)).body as Made & { counts: { id: string }[] };
}

const monthAt = async (running: Running, month: string, client = office): Promise<VarianceMonth> =>
  (await client.get(`/v1/variances?month=${month}&siteId=${running.site.id}`).expect(200)).body as VarianceMonth;
const flagOf = async (running: Running, month: string): Promise<VarianceMonth['flags'][number]> => {
  const [flag] = (await monthAt(running, month)).flags;
  if (flag === undefined) throw new Error('no flag');
  return flag;
};
const chartOf = async (running: Running): Promise<VarianceChart> => (await office.get(`/v1/machines/${running.machine.id}/variances`).expect(200)).body as VarianceChart;
const explanation = { cause: 'refund-without-slip', evidence: 'The site found the slip: 30.00 to a guest.' };

test('an accepted count is compared with its meters; what is out of tolerance is flagged, the rest is summed', async () => {
  const bar = await makeRunningSite(office);
  const waiting = await makeCollection(collector, bar.site, [count(bar.machine, '40.00', '30.00', { meteredAmount: usd('100.00') })], { happenedAt: at('2026-03-10') });
  expect(await monthAt(bar, '2026-03')).toMatchObject({ totals: [], flags: [] });
  await office.post(`/v1/collections/${waiting.id}/accept`).expect(200);
  await counted(bar, '2026-03-24', ['50.00', '48.00', '97.50']);
  await counted(bar, '2026-03-31', ['50.00', '20.00', '71.00']);

  expect(await monthAt(bar, '2026-03')).toMatchObject({
    totals: [{ currency: 'USD', tender: 'cash', counts: 3, outOfTolerance: 1, expected: usd('268.50'), counted: usd('238.00'), shortages: usd('-31.00'), overages: usd('0.50') }],
    openFlags: 1,
    explainedFlags: 0,
    flags: [{ collectionId: waiting.id, reasons: ['tolerance'], state: 'open', figures: [{ tender: 'cash', expected: usd('100.00'), counted: usd('70.00'), variance: usd('-30.00') }] }],
    withheldSites: 0,
  });
  expect((await chartOf(bar)).points.map(({ variance, sigmas }) => [variance?.amount, sigmas])).toEqual([['-30.00', null], ['0.50', null], ['-1.00', null]]);
});

test('house coin and bad coin were in the box, and are no shortage', async () => {
  const bar = await makeRunningSite(office);
  const beside = { houseCoin: usd('20.00'), badCoin: usd('40.00'), meteredAmount: usd('500.00') };
  const made = await makeCollection(collector, bar.site, [count(bar.machine, '440.00', '0.00', beside)], { happenedAt: at('2026-03-10') });
  await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  expect(await monthAt(bar, '2026-03')).toMatchObject({ totals: [{ expected: usd('500.00'), counted: usd('500.00'), outOfTolerance: 0 }], flags: [] });
});

test('what was typed for meters apart from the counts is put right by typing it again before acceptance, and with the count after it', async () => {
  const bar = await makeRunningSite(office);
  const made = await makeCollection(collector, bar.site, [count(bar.machine, '90.00', '0.00')], { happenedAt: at('2026-03-10') });
  const meter = (amount: string) => office.post(`/v1/collections/${made.id}/metered-amounts`, { amounts: [{ machineTag: bar.machine['tag'], amount: usd(amount) }] });
  for (const amount of ['900.00', '100.00']) await meter(amount).expect(200);
  // Both stay on record, and the latest counts.
  const { body: trail } = await owner.get(`/v1/audit-trail?kind=box_metered&limit=100`).expect(200);
  expect(JSON.stringify(trail)).toContain('90000');
  await office.post(`/v1/collections/${made.id}/accept`).expect(200);
  expect((await chartOf(bar)).points.map(({ expected, counted: found }) => [expected?.amount, found.amount])).toEqual([['100.00', '90.00']]);
  expect((await meter('95.00').expect(422)).body).toMatchObject({ errors: [{ pointer: '#/amounts/0/machineTag', code: 'said-already' }] });
  const correction = { countId: made.counts[0]?.id, coin: usd('90.00'), note: usd('0.00'), meteredAmount: usd('95.00'), reason: 'The meter was read again.' };
  expect((await office.post(`/v1/collections/${made.id}/corrections`, correction).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await owner.post(`/v1/collections/${made.id}/corrections`, correction).expect(200);
  expect((await chartOf(bar)).points.map(({ expected, counted: found }) => [expected?.amount, found.amount])).toEqual([['95.00', '90.00']]);
});

test('a count without meters is compared with nothing', async () => {
  const bar = await makeRunningSite(office);
  await makeAcceptedCollection(office, bar.site, [count(bar.machine)], { happenedAt: at('2026-03-10') });
  expect(await monthAt(bar, '2026-03')).toMatchObject({ totals: [], openFlags: 0 });
});

test('a flag keeps its settlement a draft until it is explained by somebody who neither collected nor counted', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  await counted(bar, '2026-04-14', ['60.00', '10.00', '100.00'], { collectedBy: orla.id });
  await closeMonth(api, '2026-04-01');
  const draft = await settlementOf(api, { siteId: bar.site.id, startsOn: '2026-04-01' });
  const flag = await flagOf(bar, '2026-04');
  const review = () => reviewer.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(draft));
  expect((await review().expect(409)).body).toMatchObject({ code: 'flags-open', detail: `Not explained: ${flag.machineTag} of 14 April 2026.` });

  const explain = (client: TestClient, body: object = explanation) => client.post(`/v1/variance-flags/${flag.id}/explanation`, body);
  expect(errorsOf(await explain(reviewer, { cause: 'luck', evidence: '' }).expect(400))).toEqual(['#/cause not-one-of', '#/evidence too-small']);
  await explain(collector).expect(403);
  await bindToPerson(owner, { accountId: reviewer.id, role: 'reviewer', personId: orla.id });
  expect((await explain(reviewer).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  const explained = (await explain(office).expect(200)).body as VarianceFlagDetail;
  expect(explained).toMatchObject({
    flag: { state: 'explained' },
    history: [{ kind: 'raised', reasons: ['tolerance'], cause: null }, { kind: 'explained', cause: 'refund-without-slip', figures: [{ variance: usd('-30.00') }] }],
    withoutSecondPerson: false,
  });
  expect((await explain(office).expect(403)).body).toMatchObject({ code: 'not-allowed-in-state' });
  expect((await review().expect(200)).body).toMatchObject({ state: 'reviewed' });
});

test('the owner lets a settlement pass with a reason; a flag raised later stands in the way again', async () => {
  const bar = await makeRunningSite(office);
  await counted(bar, '2026-05-12', ['60.00', '10.00', '100.00']);
  const close = await closeMonth(api, '2026-05-01');
  const draft = await settlementOf(api, { siteId: bar.site.id, startsOn: '2026-05-01' });
  const flag = await flagOf(bar, '2026-05');
  const override = (client: TestClient) => client.post(`/v1/settlements/${draft.id}/flag-override`, { reason: 'The site is being asked.', flagIds: [flag.id], placementIds: [] });
  await override(office).expect(403);
  expect((await reviewMonth(api, close.id)).failures).toContainEqual(expect.objectContaining({ code: 'flags-open' }));
  const passed = (await override(owner).expect(200)).body as Settlement;
  expect(passed.history).toContainEqual(expect.objectContaining({ kind: 'flags-overridden', note: 'The site is being asked.' }));
  expect((await override(owner).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  await office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(passed)).expect(200);
  expect((await monthAt(bar, '2026-05')).openFlags).toBe(1);

  await counted(bar, '2026-05-20', ['10.00', '0.00', '90.00']);
  const again = (await owner.post(`/v1/settlements/${draft.id}/recompute`).expect(200)).body as Settlement;
  expect((await office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(again)).expect(409)).body).toMatchObject({ code: 'flags-open' });
});

test('who is counting at a site is shown nothing of what was expected there, by no route', async () => {
  const bar = await makeRunningSite(office);
  await counted(bar, '2026-02-10', ['60.00', '10.00', '100.00']);
  const flag = await flagOf(bar, '2026-02');
  const counting = await makeCollection(office, bar.site, [count(bar.machine)], { happenedAt: at('2026-02-24') });
  expect(await monthAt(bar, '2026-02')).toMatchObject({ totals: [], openFlags: 0, flags: [], withheldSites: 1 });
  for (const path of [`/v1/machines/${bar.machine.id}/variances`, `/v1/variance-flags/${flag.id}`]) {
    expect((await office.get(path).expect(403)).body).toMatchObject({ code: 'being-counted' });
  }
  expect((await office.post(`/v1/variance-flags/${flag.id}/explanation`, explanation).expect(403)).body).toMatchObject({ code: 'being-counted' });
  expect(await monthAt(bar, '2026-02', reviewer)).toMatchObject({ openFlags: 1, withheldSites: 0 });
  await owner.post(`/v1/collections/${counting.id}/accept`).expect(200);
  expect(await monthAt(bar, '2026-02')).toMatchObject({ openFlags: 1, withheldSites: 0 });
});

test('a flag says who could have opened the box, and whether who emptied it had a key', async () => {
  const bar = await makeRunningSite(office);
  const keys = keyBooks(api.operator);
  const [orla, keeper] = [await makePerson(owner), await makePerson(owner)];
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: bar.machine.id, cut, opens: 'cash-box', fittedAt: at('2026-01-02') });
  const safe = await keys.store();
  await keys.custodian({ storeId: safe, personId: keeper.id, from: at('2026-01-02'), to: at('2026-01-03') });
  const copy = await keys.copy({ cut, storeId: safe, madeAt: at('2026-01-02') });
  await keys.happen(copy, { says: 'issued', at: at('2026-01-04'), from: inStore(safe), to: heldBy(orla.id) });
  await counted(bar, '2026-02-10', ['60.00', '10.00', '100.00'], { collectedBy: orla.id });
  const detail = (await reviewer.get(`/v1/variance-flags/${(await flagOf(bar, '2026-02')).id}`).expect(200)).body as VarianceFlagDetail;
  expect(detail.openers?.people.map(({ person }) => person.personId)).toContain(orla.id);
  expect(detail.keyCheck).toMatchObject({ result: 'fitting-key', keyHolder: { personId: orla.id } });
});

test('a steady small shortage is found, also when its counts arrive in the wrong order, and a correction draws the charts anew', async () => {
  const bar = await makeRunningSite(office);
  const slips = [1, -2, 0, -1, 2, 0, -2, 1, 0, -1, 2, -2, 1, 0];
  const honest = slips.map((slip, place) => ({ day: `2025-06-${String(place + 1).padStart(2, '0')}`, coin: 400 + slip }));
  const short = [1, 2, 3, 4].map((place) => ({ day: `2025-07-0${place}`, coin: 394 - place / 4 }));
  const [early, ...rest] = [...honest, ...short];
  const made: (Made & { counts: { id: string }[] })[] = [];
  for (const { day, coin } of [...rest, early ?? { day: '2025-06-01', coin: 401 }]) made.push(await counted(bar, day, [coin.toFixed(2), '0.00', '400.00']));
  const before = await chartOf(bar);
  expect(before.points.map(({ localDate }) => localDate)).toEqual([...honest, ...short].map(({ day }) => day));
  expect(before.points.slice(0, 12).every(({ sigmas }) => sigmas === null)).toBe(true);
  const found = before.points.filter(({ signals }) => signals.includes('steady-shortage'));
  expect(found.map(({ outOfTolerance }) => outOfTolerance)).toEqual(found.map(() => false));
  expect(found.length).toBeGreaterThan(0);
  expect((await monthAt(bar, '2025-07')).flags[0]?.reasons).toContain('steady-shortage');
  expect(before.sum).toMatchObject({ reference: 0.5, decision: 4, falseAlarmEvery: expect.closeTo(336, -1), findsOneSigmaAfter: expect.closeTo(8.38, 2) });

  // Decided afterwards for these days: counts in the books keep the spread that they were drawn with.
  await owner.post('/v1/tolerance-rule-sets', { name: 'Wide', currency: 'USD', effectiveOn: '2025-06-01', amount: usd('150.00'), joinedBy: 'and', percentOf: 'metered', outWhen: 'more-than' }).expect(201);
  const third = made.find((each) => each['localDate'] === '2025-07-01');
  const correction = { countId: third?.counts[0]?.id, coin: usd('400.00'), note: usd('0.00'), reason: 'A roll was found.' };
  await owner.post(`/v1/collections/${third?.id ?? ''}/corrections`, correction).expect(200);
  const after = await chartOf(bar);
  expect(after.points).toHaveLength(before.points.length);
  expect(after.points.slice(0, 14)).toEqual(before.points.slice(0, 14));
  expect(after.points[14]).toMatchObject({ counted: usd('400.00'), variance: usd('0.00'), sum: 0 });
  expect(after.points[17]?.sum).not.toBe(before.points[17]?.sum);
});

test('a rule set decides from its day on, for its currency; a day that is booked stays judged as it was', async () => {
  const bar = await makeRunningSite(office);
  await counted(bar, '2025-09-10', ['90.00', '0.00', '100.00']);
  const rules = { name: 'Any ten dollars', currency: 'USD', effectiveOn: '2025-09-15', amount: usd('10.00'), joinedBy: 'or', percentOf: 'metered', outWhen: 'at-least' };
  await office.post('/v1/tolerance-rule-sets', rules).expect(403);
  expect(errorsOf(await owner.post('/v1/tolerance-rule-sets', { ...rules, amount: undefined }).expect(400))).toEqual(['#/amount missing']);
  expect(errorsOf(await owner.post('/v1/tolerance-rule-sets', { ...rules, amount: { amount: '10.00', currency: 'EUR' } }).expect(422))).toEqual(['#/amount/currency other-currency']);
  const made = (await owner.post('/v1/tolerance-rule-sets', { ...rules, percent: '2.5', effectiveOn: '2025-09-15' }).expect(201)).body as Made;
  expect(made).toMatchObject({ percent: '2.5', amount: usd('10.00') });
  expect((await office.get('/v1/tolerance-rule-sets').expect(200)).body).toMatchObject({ items: [{ id: made.id }, { name: 'Wide' }] });
  await counted(bar, '2025-09-20', ['97.50', '0.00', '100.00']);
  await counted(bar, '2025-09-25', ['97.75', '0.00', '100.00']);
  expect((await chartOf(bar)).points.map(({ outOfTolerance }) => outOfTolerance)).toEqual([false, true, false]);
});

test('says in which currencies no difference is followed up by its size, until a rule set is in force', async () => {
  const [boss, bookkeeper] = [api.other.as('owner'), api.other.as('bookkeeper')];
  const told = async () => {
    const { currencies, withoutTolerance } = (await bookkeeper.get('/v1/tolerance-rule-sets').expect(200)).body as { currencies: string[]; withoutTolerance: string[] };
    return { currencies, withoutTolerance };
  };
  await makeSite(bookkeeper);
  expect(await told()).toEqual({ currencies: ['USD'], withoutTolerance: [] });
  await makeSite(bookkeeper, { currency: 'EUR' });
  expect(await told()).toEqual({ currencies: ['EUR', 'USD'], withoutTolerance: ['EUR'] });
  const rules = { name: 'Euro', currency: 'EUR', amount: { amount: '25.00', currency: 'EUR' }, joinedBy: 'and', percentOf: 'metered', outWhen: 'more-than' };
  await boss.post('/v1/tolerance-rule-sets', { ...rules, effectiveOn: '2099-01-01' }).expect(201);
  expect((await told()).withoutTolerance).toEqual(['EUR']);
  await boss.post('/v1/tolerance-rule-sets', { ...rules, effectiveOn: '2025-01-01' }).expect(201);
  expect((await told()).withoutTolerance).toEqual([]);
  // A site that is closed settles nothing any more.
  const closed = await makeSite(bookkeeper, { currency: 'CHF' });
  expect((await told()).withoutTolerance).toEqual(['CHF']);
  await boss.patch(`/v1/sites/${closed.id}`, { closedOn: '2026-01-01' }).set('If-Match', etag(closed)).expect(200);
  expect((await told()).currencies).toEqual(['EUR', 'USD']);
});

test('shortages that come with one holder of the keys are shown as an association, to the owner alone, who is on record for it', async () => {
  const bar = await makeRunningSite(office);
  const keys = keyBooks(api.operator);
  const [thief, honest, keeper] = [await makePerson(owner), await makePerson(owner), await makePerson(owner)];
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: bar.machine.id, cut, opens: 'everything', fittedAt: at('2025-01-02') });
  const safe = await keys.store();
  await keys.custodian({ storeId: safe, personId: keeper.id, from: at('2025-01-02') });
  const copy = await keys.copy({ cut, storeId: safe, madeAt: at('2025-01-02') });
  const stay = async (personId: string, from: string, to: string) => {
    await keys.happen(copy, { says: 'issued', at: at(from), from: inStore(safe), to: heldBy(personId) });
    await keys.happen(copy, { says: 'returned', at: at(to), from: heldBy(personId), to: inStore(safe) });
  };
  const attribution = async (year = '2025'): Promise<VarianceAttribution> =>
    (await owner.get(`/v1/variances/attribution?from=${year}-01-01&to=${year}-05-31`).expect(200)).body as VarianceAttribution;
  expect(await attribution('2024')).toMatchObject({ result: 'no-intervals', intervals: { short: 0, all: 0 }, items: [], caution: expect.stringContaining('proves nothing about a person') });

  await stay(thief.id, '2025-02-01', '2025-03-31');
  await stay(honest.id, '2025-04-02', '2025-06-01');
  const days = ['02-01', '02-08', '02-15', '02-22', '02-28', '03-07', '03-14', '03-21', '04-04', '04-11', '04-18', '04-25', '05-02', '05-09', '05-16', '05-23'];
  for (const day of days) {
    // A first count ends nothing that the books know. Who holds the key later finds the box of 4 April as the one before left it.
    const short = day > '02-01' && day < '04-01';
    await counted(bar, `2025-${day}`, [short ? '360.00' : '400.00', '0.00', '400.00']);
  }
  const found = await attribution();
  expect(found).toMatchObject({ result: 'compared', intervals: { short: 7, all: 15 }, alwaysHeld: [], withheldSites: 0 });
  expect(found.items.map(({ person, held, notHeld }) => [person.personId, held, notHeld])).toEqual([
    [thief.id, { short: 7, all: 8 }, { short: 0, all: 7 }],
    [keeper.id, { short: 0, all: 1 }, { short: 7, all: 14 }],
    [honest.id, { short: 0, all: 8 }, { short: 7, all: 7 }],
  ]);
  // 7 of 8 against 0 of 7 by hand: of 6435 ways to place the seven short ones, 8 are as extreme on this side and one on the other.
  expect(found.items[0]?.chance).toBeCloseTo(9 / 6435, 9);
  expect(found.items[0]?.correctedChance).toBeCloseTo((2 * 9) / 6435, 9);
  expect(found.items[0]?.withinMachines).toMatchObject({ machines: 1, chance: expect.closeTo(9 / 6435, 9) });
  const trail = (await owner.get(`/v1/audit-trail?kind=variance_attribution_read&thingId=${found.readId}`).expect(200)).body as { items: { actor: string }[] };
  expect(trail.items.map(({ actor }) => actor)).toEqual([`user:${owner.id}`]);

  for (const client of [office, reviewer, api.operator.as('auditor')]) await client.get('/v1/variances/attribution?from=2025-01-01&to=2025-12-31').expect(403);
  expect(errorsOf(await owner.get('/v1/variances/attribution?from=2025-02-01&to=2025-01-31').expect(400))).toEqual(['to before-from']);
  expect(errorsOf(await owner.get('/v1/variances/attribution?from=2022-02-01&to=2025-01-31').expect(400))).toEqual(['to too-long']);
});

test('every flag is reached by the list, page by page, by state, site, machine, collector and days', async () => {
  const bar = await makeRunningSite(office);
  const { id: collectedBy } = await makePerson(office);
  for (const day of ['2025-12-02', '2025-12-09', '2025-12-16']) await counted(bar, day, ['10.00', '0.00', '100.00'], day === '2025-12-09' ? { collectedBy } : {});
  const page = async (query: string) => (await reviewer.get(`/v1/variance-flags?siteId=${bar.site.id}${query}`).expect(200)).body as { items: { id: string; localDate: string; state: string }[]; next: string | null };
  const days = async (query: string) => (await page(query)).items.map(({ localDate }) => localDate.slice(8));
  const [first] = (await page('')).items;
  await reviewer.post(`/v1/variance-flags/${first?.id ?? ''}/explanation`, explanation).expect(200);
  const met: string[] = [];
  for (let cursor: string | null = ''; cursor !== null; ) {
    const { items, next }: Awaited<ReturnType<typeof page>> = await page(`&limit=1${cursor === '' ? '' : `&cursor=${cursor}`}`);
    met.push(...items.map(({ localDate, state }) => `${localDate.slice(8)} ${state}`));
    cursor = next;
  }
  expect(met).toEqual(['09 open', '16 open', '02 explained']);
  expect([await days('&state=open'), await days('&state=explained')]).toEqual([['09', '16'], ['02']]);
  expect(await days('&from=2025-12-09&before=2025-12-16')).toEqual(['09']);
  expect([await days(`&machineId=${bar.machine.id}`), await days(`&machineId=${bar.site.id}`)]).toEqual([['09', '16', '02'], []]);
  expect(await days(`&collectorId=${collectedBy}`)).toEqual(['09']);
  expect((await reviewer.get('/v1/variance-flags?cursor=nonsense').expect(400)).body).toMatchObject({ code: 'invalid-cursor' });
});

test('differences are added up by machine, site, collector and month, never netted, without what a break-in explains, and as a file', async () => {
  const bar = await makeRunningSite(office);
  const orla = await makePerson(owner);
  await counted(bar, '2025-10-07', ['60.00', '0.00', '100.00'], { collectedBy: orla.id });
  await counted(bar, '2025-10-14', ['130.00', '0.00', '100.00'], { collectedBy: orla.id });
  await office.post('/v1/break-ins', { placementId: bar.placement.id, happenedOn: '2025-10-18', amount: usd('90.00'), note: 'The box was forced.' }).expect(201);
  await counted(bar, '2025-10-21', ['10.00', '0.00', '100.00'], { collectedBy: orla.id });
  await counted(bar, '2025-11-04', ['99.00', '0.00', '100.00']);
  const reportBy = async (by: string, more = ''): Promise<VarianceReport> =>
    (await api.operator.as('auditor').get(`/v1/variances/report?by=${by}&from=2025-10-01&to=2025-11-30&siteId=${bar.site.id}${more}`).expect(200)).body as VarianceReport;
  const october = { counts: 2, outOfTolerance: 2, leftOut: 1, expected: usd('200.00'), counted: usd('190.00'), shortages: usd('-40.00'), overages: usd('30.00'), openFlags: 3, explainedFlags: 0 };
  expect(await monthAt(bar, '2025-10')).toMatchObject({ totals: [{ counts: 2, outOfTolerance: 2, leftOut: 1, expected: usd('200.00'), counted: usd('190.00'), shortages: usd('-40.00'), overages: usd('30.00') }], openFlags: 3 });
  const november = { counts: 1, leftOut: 0, shortages: usd('-1.00'), overages: usd('0.00'), openFlags: 0 };
  const both = { counts: 3, expected: usd('300.00'), counted: usd('289.00'), shortages: usd('-41.00'), overages: usd('30.00') };
  expect((await reportBy('month')).rows).toEqual([expect.objectContaining({ id: null, code: '2025-10', ...october }), expect.objectContaining({ code: '2025-11', ...november })]);
  expect((await reportBy('machine')).rows).toEqual([expect.objectContaining({ id: bar.machine.id, code: bar.machine['tag'], ...both })]);
  expect((await reportBy('site')).rows).toEqual([expect.objectContaining({ id: bar.site.id, code: bar.site['code'], ...both })]);
  expect((await reportBy('collector')).rows).toEqual([expect.objectContaining({ id: orla.id, name: orla['name'], ...october }), expect.objectContaining({ id: null, code: '', ...november })]);
  expect((await reportBy('month', `&collectorId=${orla.id}&machineId=${bar.machine.id}`)).rows).toEqual([expect.objectContaining(october)]);

  const file = await office.get(`/v1/variances/report/export?by=month&from=2025-10-01&to=2025-11-30&siteId=${bar.site.id}`).expect(200);
  expect(file.headers['content-disposition']).toContain('variances-by-month-2025-10-01-to-2025-11-30.csv');
  expect(file.text.split('\r\n').slice(0, 2)).toEqual([
    'by,code,name,currency,counts,out_of_tolerance,left_out,expected,counted,shortages,overages,open_flags,explained_flags,counters_apart,tender,several_collectors',
    'month,2025-10,,USD,2,2,1,200.00,190.00,-40.00,30.00,3,0,0,all,no',
  ]);
  await reviewer.get('/v1/variances/report?by=site&from=2025-10-01&to=2025-11-30').expect(403);
  expect(errorsOf(await office.get('/v1/variances/report?by=colour&from=2025-10-01&to=2025-09-30').expect(400))).toEqual(['by not-one-of']);
  expect(errorsOf(await office.get('/v1/variances/report?by=site&from=2025-10-01&to=2025-09-30').expect(400))).toEqual(['to before-from']);
});
