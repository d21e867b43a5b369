import supertest from 'supertest';
import type { Bag, Bags } from '#contracts/cash-trail';
import type { Collection } from '#contracts/collection';
import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import type { KeyAttention, OwnKeys } from '#contracts/key-question';
import type { KeyStore } from '#contracts/key-store';
import type { Policies, RelaxedRecord } from '#contracts/policy';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, usd, visit } from '#tests/support/collecting';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import { errorsOf, makePerson, makeRunningSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
});
afterAll(() => api?.close());

const strict = { directHandOver: false, acknowledgeWithinHours: 48, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: null };
const decide = (client: TestClient, relaxed: object) => client.post('/v1/policy', { ...strict, reason: 'As our insurer agreed', ...relaxed });
const relaxedRecords = async (client: TestClient, query = '') => (await client.get(`/v1/policy/relaxed-records${query}`).expect(200)).body.items as RelaxedRecord[];
const attentionOf = async (client: TestClient, query = '') => (await client.get(`/v1/key-attention${query}`).expect(200)).body as KeyAttention;
const ownerOf = (operator: TestOperator) => operator.as('owner');

/** Takes out everybody but the owner. */
async function leaveAlone(operator: TestOperator): Promise<void> {
  const owner = ownerOf(operator);
  for (const role of ['bookkeeper', 'custodian', 'reviewer'] as const) {
    const path = `/v1/members/${operator.as(role).id}`;
    const { revision } = (await owner.get(path).expect(200)).body as { revision: number };
    await owner.delete(path).set('If-Match', `"${revision}"`).expect(204);
  }
}

describe('the policy of an operator', () => {
  test('is the strict side of every question until an owner decides, from then on, and says in words what is relaxed', async () => {
    const owner = ownerOf(api.operator);
    const before = (await api.operator.as('auditor').get('/v1/policy').expect(200)).body as Policies;
    expect(before).toMatchObject({ current: { ...strict, effectiveFrom: null, relaxed: [] }, onePersonHolds: false, decided: [] });
    const later = '2026-05-02T16:00:00.000Z';
    const decided = (await decide(owner, { inventoryEveryMonths: 6, acknowledgeWithinHours: 72, effectiveFrom: later }).expect(201)).body as Policies;
    expect(decided.current.effectiveFrom).toBeNull();
    expect(decided.decided).toMatchObject([{ effectiveFrom: later, reason: 'As our insurer agreed', recordedBy: `user:${owner.id}` }]);
    api.clock.advance({ milliseconds: Date.parse(later) - api.clock.now().getTime() });
    const after = (await owner.get('/v1/policy').expect(200)).body as Policies;
    expect(after.current).toMatchObject({ inventoryEveryMonths: 6, relaxed: ['A key may stay unconfirmed for 72 hours.', 'All keys are counted only every 6 months.'] });
    expect((await owner.get('/v1/key-inventory-schedule').expect(200)).body.everyMonths).toBe(6);
  });

  test('says how near to whole pieces a weight of coins must come, within bounds, and to the phone as to the counting room', async () => {
    const operator = api.other;
    const [owner, office] = [operator.as('owner'), operator.as('bookkeeper')];
    const slackTold = async () => ((await operator.as('collector').get('/v1/coin-sets?currency=USD').expect(200)).body.items as { weighWithinPercent: number }[])[0]?.weighWithinPercent;
    const bar = await makeRunningSite(office);
    const check = (await office.post('/v1/scale-checks', { scale: 'Counting room', referenceGrams: '2000', shownGrams: '2000', happenedAt: api.clock.now().toISOString() }).expect(201)).body as { id: string };
    // 31 U.S.C. 5112(a): a quarter weighs 5.67 g; this bag lies 0.3 of one above 200.
    const weighed = () => office.post('/v1/collections', visit(bar.site, [{ machineTag: bar.machine['tag'] as string, tally: [{ issueId: 'usd-quarter', grams: '1135.701' }] }], { scaleCheckId: check.id }));
    expect(await slackTold()).toBe(25);
    expect(errorsOf(await weighed().expect(422))).toEqual(['#/counts/0/tally/0/grams weigh-again']);
    for (const [percent, code] of [[4, 'too-small'], [41, 'too-large'], [25.5, 'wrong-type']] as const) expect(errorsOf(await decide(owner, { weighWithinPercent: percent }).expect(400))).toEqual([`#/weighWithinPercent ${code}`]);
    const { current } = (await decide(owner, { weighWithinPercent: 35 }).expect(201)).body as Policies;
    expect(current).toMatchObject({ weighWithinPercent: 35, relaxed: ['A weight of coins may lie 35 percent of a piece from a whole number.'] });
    expect(await slackTold()).toBe(35);
    expect((await weighed().expect(201)).body.counted).toEqual(usd('50.00'));
    // A decision about other rules leaves it as it is.
    expect(((await decide(owner, { acknowledgeWithinHours: 24 }).expect(201)).body as Policies).current).toMatchObject({ weighWithinPercent: 35 });
    await decide(owner, { weighWithinPercent: 25 }).expect(201);
  });

  test('allows nothing backwards, and one person only where there is one', async () => {
    const owner = ownerOf(api.operator);
    expect(errorsOf(await decide(owner, { effectiveFrom: '2026-05-01T00:00:00Z' }).expect(422))).toEqual(['#/effectiveFrom in-the-past']);
    const alone = await decide(owner, { onePersonReviewOn: '2026-09-01' }).expect(422);
    expect(errorsOf(alone)).toEqual(['#/onePersonReviewOn more-than-one-person']);
    expect(alone.body.errors[0].message).toContain('bookkeeper');
    expect(errorsOf(await decide(owner, { inventoryEveryMonths: 2 }).expect(400))).toEqual(['#/inventoryEveryMonths not-one-of']);
    expect(errorsOf(await decide(owner, { acknowledgeWithinHours: 0 }).expect(400))).toEqual(['#/acknowledgeWithinHours too-small']);
    await decide(api.operator.as('bookkeeper'), {}).expect(403);
  });

  test('is never changed, in the database too', async () => {
    await decide(ownerOf(api.operator), {}).expect(201);
    for (const text of ['UPDATE policy SET direct_hand_over = true', 'DELETE FROM policy', 'DELETE FROM relaxed_record']) {
      await expect(api.operator.inBooks((tx) => tx.sql(text))).rejects.toThrow();
    }
  });
});

describe('a key policy that is relaxed', () => {
  test('lets a cash-box key go from hand to hand among the operator’s people, and to nobody at a site', async () => {
    const operator = api.other;
    const owner = ownerOf(operator);
    const books = keyBooks(operator);
    const [cut, safe] = [await books.cut({ class: 'cash-box' }), await books.store()];
    const [orla, pim] = [await makePerson(owner, { name: 'Orla Venn' }), await makePerson(owner, { name: 'Pim Aske' })];
    const { site } = await makeRunningSite(owner);
    const barkeeper = await makePerson(owner, { name: 'Bar Keeper', employedBy: 'site', siteId: site.id });
    const made = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
    const copy = made.items[0]?.id;
    const record = (event: object) => owner.post('/v1/custody-events', { keyCopyIds: [copy], reason: 'Round of the week', ...event });
    const to = (person: { id: string }) => ({ kind: 'person', id: person.id });
    await record({ kind: 'issued', from: { kind: 'store', id: safe }, to: to(orla) }).expect(201);
    const refused = await record({ kind: 'handed-over', from: to(orla), to: to(pim) }).expect(422);
    expect(refused.body.errors[0].message).toContain('An owner may allow it');
    const handsOn = async (role: 'owner' | 'site-manager') => ((await operator.as(role).get('/v1/own-keys').expect(200)).body as OwnKeys).handsOn;
    expect(await handsOn('owner')).toEqual(['access']);
    await decide(owner, { directHandOver: true, acknowledgeWithinHours: 12 }).expect(201);
    expect([await handsOn('owner'), await handsOn('site-manager')]).toEqual([['access', 'cash-box'], ['access']]);
    const handed = (await record({ kind: 'handed-over', from: to(orla), to: to(pim) }).expect(201)).body as CustodyEvent;
    expect(Date.parse(handed.acknowledgeBy ?? '') - Date.parse(handed.recordedAt)).toBe(12 * 3_600_000);
    expect(await relaxedRecords(owner)).toEqual([
      { recordId: handed.id, rule: 'back-to-custodian', kind: 'custody-event', about: made.items[0]?.number, collectionId: null, reviewOn: null, recordedAt: handed.recordedAt, recordedBy: `user:${owner.id}` },
    ]);
    expect(errorsOf(await record({ kind: 'handed-over', from: to(pim), to: to(barkeeper) }).expect(422))).toEqual(['#/to cash-box-key-to-site', '#/to back-to-custodian']);
    // An exception for somebody of a site lets a custodian give them the key, never a colleague.
    await owner.post('/v1/key-exceptions', { personId: barkeeper.id, label: 'Both employers', reason: 'Works for both', reviewOn: '2026-12-31' }).expect(201);
    const toBarkeeper = await record({ kind: 'handed-over', from: to(pim), to: to(barkeeper) }).expect(422);
    expect(errorsOf(toBarkeeper)).toEqual(['#/to back-to-custodian']);
    expect(toBarkeeper.body.errors[0].message).toContain('Bar Keeper is employed by a site');
    api.clock.advance({ milliseconds: 60_000 });
    const allowed = api.clock.now().toISOString();
    api.clock.advance({ milliseconds: 60_000 });
    await decide(owner, {}).expect(201);
    expect(errorsOf(await record({ kind: 'handed-over', from: to(pim), to: to(orla) }).expect(422))).toEqual(['#/kind back-to-custodian']);
    // Told late, it was allowed when it happened.
    await record({ kind: 'handed-over', from: to(pim), to: to(orla), happenedAt: allowed }).expect(201);
  });

  test('lets somebody who collects keep the keys that nobody was given, and labels it', async () => {
    const owner = ownerOf(api.operator);
    const safe = await keyBooks(api.operator).store();
    const collector = await makePerson(owner, { name: 'Pim Aske' });
    await bindToPerson(owner, { accountId: api.operator.as('collector').id, role: 'collector', personId: collector.id });
    const appoint = () => owner.post(`/v1/key-stores/${safe}/custodian`, { personId: collector.id });
    expect(errorsOf(await appoint().expect(422))).toEqual(['#/personId collects']);
    await decide(owner, { custodianApart: false }).expect(201);
    const store = (await appoint().expect(200)).body as KeyStore;
    expect(store.custodian).toMatchObject({ personId: collector.id, alsoCollects: true });
    expect(await relaxedRecords(owner)).toMatchObject([{ rule: 'custodian-apart', kind: 'custodian', about: `Pim Aske, ${store.name}` }]);
    expect((await attentionOf(owner)).custodiansWhoCollect).toEqual([]);
    // K.A.R. 112-104-34 and 25 CFR 543.24(d)(8) know a custodian; that he does not collect is common practice, no source.
    const allowed = api.clock.now().toISOString();
    api.clock.advance({ milliseconds: 60_000 });
    await decide(owner, {}).expect(201);
    // Told late, it would hold on into the time when it is allowed no more.
    const other = await keyBooks(api.operator).store();
    expect(errorsOf(await owner.post(`/v1/key-stores/${other}/custodian`, { personId: collector.id, since: allowed }).expect(422))).toEqual(['#/personId collects']);
    expect((await attentionOf(owner)).custodiansWhoCollect).toMatchObject([{ store: { id: safe }, person: { name: 'Pim Aske' } }]);
    // One who stopped on the first of March, of which the books heard on the twentieth.
    await keyBooks(api.operator).custodian({ storeId: other, personId: collector.id, from: '2026-01-01T08:00:00Z', to: '2026-03-01T08:00:00Z', endRecordedAt: '2026-03-20T08:00:00Z' });
    const asKnown = async (knownAt: string): Promise<string[]> => ((await owner.get(`/v1/key-attention?at=2026-03-10T08:00:00Z&knownAt=${knownAt}`).expect(200)).body as KeyAttention).custodiansWhoCollect.map(({ store: { id } }) => id);
    expect([await asKnown('2026-03-15T08:00:00Z'), await asKnown('2026-03-25T08:00:00Z')]).toEqual([[other], []]);
  });
});

test('the last word counts: what was decided earlier for a later day does not come back over it', async () => {
  const owner = ownerOf(api.operator);
  const inAnHour = new Date(api.clock.now().getTime() + 3_600_000).toISOString();
  await decide(owner, { acknowledgeWithinHours: 96, effectiveFrom: inAnHour }).expect(201);
  api.clock.advance({ milliseconds: 1000 });
  await decide(owner, { acknowledgeWithinHours: 24 }).expect(201);
  api.clock.advance({ milliseconds: 2 * 3_600_000 });
  expect(((await owner.get('/v1/policy').expect(200)).body as Policies).current.acknowledgeWithinHours).toBe(24);
});

test('a token is its maker’s: what came by it is corrected by somebody else', async () => {
  const owner = ownerOf(api.operator);
  const { site, machine } = await makeRunningSite(owner);
  const expiresAt = new Date(api.clock.now().getTime() + 86_400_000).toISOString();
  const { body: made } = await owner.post('/v1/api-tokens', { name: 'Counting machine', role: 'bookkeeper', scopes: ['collect', 'read'], expiresAt }).expect(201);
  const byToken = await supertest(api.url).post('/v1/collections').set('Authorization', `Bearer ${String((made as { secret: string }).secret)}`).set('Idempotency-Key', nextCode('K')).send(visit(site, [count(machine)])).expect(201);
  const { id, counts } = byToken.body as { id: string; counts: { id: string }[] };
  await owner.post(`/v1/collections/${id}/accept`).expect(200);
  const correction = { countId: counts[0]?.id, coin: usd('120.00'), note: usd('40.00'), reason: 'Counted again' };
  expect((await owner.post(`/v1/collections/${id}/corrections`, correction).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await api.operator.as('bookkeeper').post(`/v1/collections/${id}/corrections`, correction).expect(200);
});

describe('a business of one', () => {
  test('does itself what wants a second person, and every record made so says it', async () => {
    const operator = api.other;
    const owner = ownerOf(operator);
    const { site, machine } = await makeRunningSite(owner);
    const made = await makeAcceptedCollection(owner, site, [count(machine)]);
    const correct = (countId: string | undefined) => owner.post(`/v1/collections/${made.id}/corrections`, { countId, coin: usd('120.00'), note: usd('40.00'), reason: 'Counted again' });
    expect((await correct(made.counts[0]?.id).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    await leaveAlone(operator);
    await correct(made.counts[0]?.id).expect(403);
    expect(errorsOf(await decide(owner, { onePersonReviewOn: '2026-05-02' }).expect(422))).toEqual(['#/onePersonReviewOn in-the-past']);
    expect(errorsOf(await decide(owner, { onePersonReviewOn: '2028-06-01' }).expect(422))).toEqual(['#/onePersonReviewOn too-far-away']);
    const decided = (await decide(owner, { onePersonReviewOn: '2026-12-01' }).expect(201)).body as Policies;
    expect([decided.onePersonHolds, decided.reviewOverdue]).toEqual([true, false]);
    const corrected = (await correct(made.counts[0]?.id).expect(200)).body as { counts: { id: string; replacesId: string | null; withoutSecondPerson: boolean }[] };
    expect(corrected.counts.map(({ replacesId, withoutSecondPerson }) => [replacesId !== null, withoutSecondPerson])).toEqual([[false, false], [true, true]]);

    const books = keyBooks(operator);
    const [cut, safe] = [await books.cut({ class: 'access' }), await books.store()];
    const copies = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
    const missing = (await owner.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [copies.items[0]?.id], reason: 'Not on the hook' }).expect(201)).body as CustodyEvent;
    const undone = (await owner.post('/v1/custody-events', { kind: 'corrected', correctsId: missing.id, says: null, reason: 'It lay in the drawer' }).expect(201)).body as CustodyEvent;
    expect(undone.withoutSecondPerson).toBe(true);

    // What was entered alone is discarded alone, a bag that was filled alone is opened alone, and a phone of one's own released.
    const [mistaken, bagged] = [await makeCollection(owner, site, [count(machine)]), await makeCollection(owner, site, [])];
    const [bag] = ((await owner.post(`/v1/collections/${bagged.id}/bags`, { bags: [{ number: 'B-9', seal: 'S-9' }] }).expect(201)).body as Bags).items;
    const discarded = (await owner.post(`/v1/collections/${mistaken.id}/discard`, { reason: 'Entered twice' }).expect(200)).body as Collection;
    expect(discarded).toMatchObject({ state: 'discarded', discarded: { withoutSecondPerson: true } });
    const received = (await owner.post(`/v1/bags/${bag?.id ?? ''}/steps`, { kind: 'received', seal: 'S-9' }).expect(201)).body as Bag;
    expect(received.received).toMatchObject({ seal: 'S-9', withoutSecondPerson: true });
    const phone = (await owner.post('/v1/devices', { name: 'Old phone' }).expect(201)).body as { id: string };
    await owner.post(`/v1/devices/${phone.id}/revoke`, { reason: 'Fell into the harbour' }).expect(200);
    await owner.post(`/v1/devices/${phone.id}/release`, { reason: 'A new one was bought' }).expect(200);

    const listed = (await relaxedRecords(owner, '?rule=second-person')).map(({ recordId, about, collectionId, reviewOn }) => [recordId, about, collectionId, reviewOn]);
    expect(listed).toHaveLength(5);
    expect(listed).toEqual(expect.arrayContaining([
      [corrected.counts[1]?.id, [machine['tag'], site['name']].join(', '), made.id, '2026-12-01'],
      [undone.id, copies.items[0]?.number, null, '2026-12-01'],
      [mistaken.id, site['name'], mistaken.id, '2026-12-01'],
      [expect.any(String), ['B-9', site['name']].join(', '), bagged.id, '2026-12-01'],
      [phone.id, 'Old phone', null, '2026-12-01'],
    ]));
    expect((await attentionOf(owner)).onePersonReview).toBeNull();
    const onThatDay = '?at=2026-12-01T18:00:00Z';
    expect((await attentionOf(owner, onThatDay)).onePersonReview).toMatchObject({ reviewOn: '2026-12-01' });
    expect((await owner.get(`/v1/key-attention/export${onThatDay}`).expect(200)).text).toContain('one-person-review');

    // Somebody joins: from then on there is a second person.
    await operator.newMember('bookkeeper');
    expect((await correct(corrected.counts[1]?.id).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    expect(((await owner.get('/v1/policy').expect(200)).body as Policies).onePersonHolds).toBe(false);
  });
});
