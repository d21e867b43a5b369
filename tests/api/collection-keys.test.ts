import { randomUUID } from 'node:crypto';
import { openersSinceLastCollection } from '#backoffice/collection-key/check';
import type { CollectionKeyCheck } from '#contracts/collection-key';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, visit } from '#tests/support/collecting';
import { heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { errorsOf, makePerson, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let keys: ReturnType<typeof keyBooks>;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;
let bar: Running;
let bare: Running;
let [orla, pim, keeper]: Made[] = [];
let copy: KeyCopyOfTest;
let safe: string;
let issued: string;

const idOf = (made: Made | undefined): string => made?.id ?? '';
const at = (text: string) => `2026-${text}:00Z`;
const collectedBy = (running: Running, person: Made | undefined, moment: string, more: object = {}) =>
  makeCollection(owner, running.site, [count(running.machine)], { happenedAt: at(moment), collectedBy: person?.id ?? null, ...more });
const check = async (collection: Made): Promise<CollectionKeyCheck> => (await owner.get(`/v1/collections/${collection.id}/key-check`).expect(200)).body as CollectionKeyCheck;
const findings = async (query = '') => ((await owner.get(`/v1/collections-without-key?${query}`).expect(200)).body as { items: CollectionKeyCheck[]; next: string | null });

beforeAll(async () => {
  api = await startTestApi();
  owner = api.operator.as('owner');
  keys = keyBooks(api.operator);
  [bar, bare] = [await makeRunningSite(owner), await makeRunningSite(owner)];
  [orla, pim, keeper] = [await makePerson(owner), await makePerson(owner), await makePerson(owner)];
  const cut = await keys.cut({ class: 'cash-box', code: 'CASH' });
  await keys.lock({ machineId: bar.machine.id, cut, opens: 'cash-box', fittedAt: at('01-02T08:00') });
  safe = await keys.store();
  await keys.custodian({ storeId: safe, personId: idOf(keeper), from: at('01-02T08:00'), to: at('03-15T08:00') });
  copy = await keys.copy({ cut, storeId: safe, madeAt: at('01-02T08:00') });
  issued = await keys.happen(copy, { says: 'issued', at: at('02-01T08:00'), from: inStore(safe), to: heldBy(idOf(orla)) });
  await keys.happen(copy, { says: 'returned', at: at('03-01T08:00'), from: heldBy(idOf(orla)), to: inStore(safe) });
});
afterAll(() => api?.close());

describe('the key holder of a collection', () => {
  test('had a key to every box, or had not', async () => {
    const withKey = await collectedBy(bar, orla, '02-10T10:00');
    const without = await collectedBy(bar, pim, '02-10T11:00');
    const after = await collectedBy(bar, orla, '03-02T10:00');
    expect(await check(withKey)).toMatchObject({ result: 'fitting-key', keyHolder: { personId: idOf(orla) }, machines: [{ machineId: bar.machine.id, codes: ['CASH'], lacking: [] }] });
    expect(await check(without)).toMatchObject({ result: 'key-holder-without-key', keyHolder: { personId: idOf(pim) }, machines: [{ lacking: ['CASH'] }] });
    expect((await check(after)).result).toBe('key-holder-without-key');
    expect((await findings()).items.map(({ collectionId }) => collectionId)).toEqual([after.id, without.id]);
    expect((await findings(`personId=${idOf(pim)}`)).items.map(({ collectionId }) => collectionId)).toEqual([without.id]);
    expect((await findings('from=2026-03-01')).items).toHaveLength(1);
    expect((await findings('before=2026-02-01')).items).toEqual([]);
    expect((await findings(`siteId=${bare.site.id}`)).items).toEqual([]);
    const csv = (await owner.get('/v1/collections-without-key/export').expect(200)).text.split('\r\n');
    expect(csv[2]).toMatch(/^key-holder-without-key,2026-02-10T11:00:00\.000Z,.*,CASH,CASH$/);
    const page = await findings('limit=1');
    expect((await findings(`limit=1&cursor=${page.next ?? ''}`)).items.map(({ collectionId }) => collectionId)).toEqual([without.id]);
  });

  test('a custodian has the keys of the store at hand, while they are', async () => {
    expect((await check(await collectedBy(bar, keeper, '03-10T10:00'))).result).toBe('fitting-key');
    expect((await check(await collectedBy(bar, keeper, '03-16T10:00'))).result).toBe('key-holder-without-key');
  });

  test('an exchange of locked boxes takes no key, and a team names the member who had it', async () => {
    expect(await check(await collectedBy(bar, pim, '02-11T10:00', { boxesExchanged: true }))).toMatchObject({ result: 'not-needed', keyHolder: null, boxesExchanged: true });
    expect(await check(await collectedBy(bar, pim, '02-11T11:00', { keyHolderId: idOf(orla) }))).toMatchObject({ result: 'fitting-key', keyHolder: { personId: idOf(orla) } });
  });

  test('nobody named is a finding where a lock is recorded; where none is, nothing is known', async () => {
    expect((await check(await collectedBy(bar, undefined, '02-12T10:00'))).result).toBe('no-key-holder');
    expect(await check(await collectedBy(bare, pim, '02-12T10:00'))).toMatchObject({ result: 'not-known', machines: [{ codes: [], lacking: [] }] });
    expect((await check(await makeCollection(owner, bar.site, [], { happenedAt: at('02-12T11:00') }))).result).toBe('not-known');
  });

  test('is named later, or otherwise, and the latest counts', async () => {
    const collection = await collectedBy(bar, pim, '02-13T10:00');
    const name = (body: object) => owner.post(`/v1/collections/${collection.id}/key-holder`, { reason: 'The team said so', ...body });
    expect(((await name({ keyHolderId: idOf(orla) }).expect(200)).body as CollectionKeyCheck).result).toBe('fitting-key');
    api.clock.advance({ milliseconds: 1000 });
    await name({ boxesExchanged: true }).expect(200);
    expect((await check(collection)).result).toBe('not-needed');
    expect(errorsOf(await name({ keyHolderId: randomUUID() }).expect(422))).toEqual(['#/keyHolderId unknown']);
    expect(errorsOf(await name({}).expect(400))).toEqual(['#/keyHolderId one-of-two']);
    expect(errorsOf(await name({ keyHolderId: idOf(orla), boxesExchanged: true }).expect(400))).toEqual(['#/keyHolderId one-of-two']);
    expect(errorsOf(await owner.post('/v1/collections', visit(bar.site, [], { keyHolderId: randomUUID() })).expect(422))).toEqual(['#/keyHolderId unknown']);
    expect(errorsOf(await owner.post('/v1/collections', visit(bar.site, [], { keyHolderId: idOf(orla), boxesExchanged: true })).expect(400))).toEqual(['#/keyHolderId one-of-two']);
  });

  test('is asked about anew when custody is corrected', async () => {
    const collection = await collectedBy(bar, pim, '02-14T10:00');
    expect((await check(collection)).result).toBe('key-holder-without-key');
    await keys.happen(copy, { says: 'issued', at: at('02-01T08:00'), recordedAt: at('03-05T08:00'), from: inStore(safe), to: heldBy(idOf(pim)), corrects: issued });
    expect((await check(collection)).result).toBe('fitting-key');
    expect((await findings(`personId=${idOf(pim)}`)).items).toEqual([]);
  });

  test('is nothing for a site or a collector', async () => {
    const collection = await collectedBy(bar, pim, '02-15T10:00');
    for (const role of ['site-manager', 'collector'] as const) {
      await api.operator.as(role).get(`/v1/collections/${collection.id}/key-check`).expect(403);
      await api.operator.as(role).get('/v1/collections-without-key').expect(403);
    }
    await api.other.as('owner').get(`/v1/collections/${collection.id}/key-check`).expect(404);
  });
});

test('who could have opened a box since it was emptied before', async () => {
  const own = await makeRunningSite(owner);
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: own.machine.id, cut, opens: 'cash-box', fittedAt: at('01-02T08:00') });
  const key = await keys.copy({ cut, storeId: safe, madeAt: at('01-02T08:00') });
  for (const [person, from, to] of [[orla, '01-10T08:00', '01-11T08:00'], [pim, '02-10T08:00', '02-11T08:00']] as const) {
    await keys.happen(key, { says: 'issued', at: at(from), from: inStore(safe), to: heldBy(idOf(person)) });
    await keys.happen(key, { says: 'returned', at: at(to), from: heldBy(idOf(person)), to: inStore(safe) });
  }
  const [first, second] = [await collectedBy(own, orla, '02-01T10:00'), await collectedBy(own, orla, '03-20T10:00')];
  const people = async (collection: Made, machineId = own.machine.id) => {
    const answer = await api.operator.inBooks((tx) => openersSinceLastCollection(tx, { collectionId: collection.id, machineId, knownAt: api.clock.now() }));
    return answer?.people.map(({ person }) => person.personId).sort();
  };
  expect(await people(first)).toEqual([idOf(keeper), idOf(orla)].sort());
  expect(await people(second)).toEqual([idOf(keeper), idOf(pim)].sort());
  expect(await people(second, bar.machine.id)).toBeUndefined();
  const answer = await api.operator.inBooks((tx) => openersSinceLastCollection(tx, { collectionId: second.id, machineId: own.machine.id, knownAt: api.clock.now() }));
  expect([answer?.machineId, answer?.from]).toEqual([own.machine.id, '2026-02-01T10:00:00.000Z']);
});
