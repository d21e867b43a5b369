import type { KeyTasks } from '#contracts/key-task';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { atPlace, heldBy, inStore, keyBooks } from '#tests/support/keys';
import { etag, makePerson, makeSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let custodian: TestClient;
let keys: ReturnType<typeof keyBooks>;
let safe: string;

const madeAt = '2026-01-02T08:00:00Z';
const tasks = async (client = owner): Promise<KeyTasks> => (await client.get('/v1/key-tasks').expect(200)).body as KeyTasks;
const back = (copy: string, from: object) => custodian.post('/v1/custody-events', { kind: 'returned', keyCopyIds: [copy], from, to: inStore(safe), reason: 'Handed in' }).expect(201);

async function whoLeaves(leftOn: string | null): Promise<Made> {
  const person = await makePerson(owner);
  if (leftOn !== null) await owner.patch(`/v1/people/${person.id}`, { leftOn }).set('If-Match', etag(person)).expect(200);
  return person;
}

beforeAll(async () => {
  api = await startTestApi();
  [owner, custodian] = [api.operator.as('owner'), api.operator.as('custodian')];
  keys = keyBooks(api.operator);
  safe = await keys.store();
});
afterAll(() => api?.close());

test('who leaves with a key is a task from the day that it is known, and until the key is back', async () => {
  const cut = await keys.cut({ class: 'cash-box' });
  const leave = async (leftOn: string | null) => {
    const copy = await keys.copy({ cut, storeId: safe, madeAt });
    const person = await whoLeaves(leftOn);
    await keys.happen(copy, { says: 'issued', at: '2026-02-01T08:00:00Z', from: inStore(safe), to: heldBy(person.id) });
    return { copy, person };
  };
  const [gone, last, soon] = [await leave('2026-03-30'), await leave('2026-03-31'), await leave('2026-04-15')];
  await leave(null);
  const without = await whoLeaves('2026-03-30');
  const listed = (await tasks()).leavers;
  expect(listed.map(({ person, leftOn, overdue, copies }) => [person.personId, leftOn, overdue, copies.map(({ number }) => number)])).toEqual([
    [gone.person.id, '2026-03-30', true, [gone.copy.number]],
    [last.person.id, '2026-03-31', false, [last.copy.number]],
    [soon.person.id, '2026-04-15', false, [soon.copy.number]],
  ]);
  expect(listed.map(({ person }) => person.personId)).not.toContain(without.id);
  await back(gone.copy.id, heldBy(gone.person.id));
  expect((await tasks()).leavers.map(({ person }) => person.personId)).toEqual([last.person.id, soon.person.id]);
  for (const { copy, person } of [last, soon]) await back(copy.id, heldBy(person.id));
  expect((await tasks()).leavers).toEqual([]);
});

test('so is a custodian who leaves, or who may use a place, until somebody else does', async () => {
  const keeper = (await whoLeaves('2026-03-30')).id;
  const next = (await makePerson(owner)).id;
  const [kept, over] = [await keys.store(), await keys.store()];
  const site = await makeSite(owner);
  const place = await keys.place({ siteId: site.id, responsiblePersonId: next });
  await keys.custodian({ storeId: kept, personId: keeper, from: madeAt });
  await keys.custodian({ storeId: over, personId: keeper, from: madeAt, to: '2026-03-30T08:00:00Z' });
  await keys.placeUser({ placeId: place, personId: keeper, from: madeAt });
  expect((await tasks()).leavers).toMatchObject([{ person: { personId: keeper }, copies: [], keeps: [{ kind: 'store', id: kept }, { kind: 'place', id: place }] }]);
  await api.operator.inBooks(async (tx) => {
    await tx.sql(`UPDATE key_custodian SET ended_at = '2026-03-31', end_recorded_at = '2026-03-31' WHERE tenant_id = $1 AND key_store_id = $2`, [tx.tenantId, kept]);
    await tx.sql(`UPDATE key_place_user SET ended_at = '2026-03-31', end_recorded_at = '2026-03-31' WHERE tenant_id = $1 AND key_place_id = $2`, [tx.tenantId, place]);
  });
  expect((await tasks()).leavers).toEqual([]);
});

test('a site that closes is a task while its people or places have keys', async () => {
  const cut = await keys.cut({ class: 'access' });
  const [site, open] = [await makeSite(owner), await makeSite(owner)];
  await owner.patch(`/v1/sites/${site.id}`, { closedOn: '2026-03-31' }).set('If-Match', etag(site)).expect(200);
  const give = async (to: ReturnType<typeof heldBy>) => {
    const copy = await keys.copy({ cut, storeId: safe, madeAt });
    await keys.happen(copy, { says: 'issued', at: '2026-02-01T08:00:00Z', from: inStore(safe), to });
    return { copy, to };
  };
  const staff = (await makePerson(owner, { employedBy: 'site', siteId: site.id })).id;
  const others = (await makePerson(owner, { employedBy: 'site', siteId: open.id })).id;
  const given = [await give(heldBy(staff)), await give(atPlace(await keys.place({ siteId: site.id, responsiblePersonId: staff })))];
  await give(heldBy(others));
  expect((await tasks()).closingSites).toMatchObject([{ siteId: site.id, closedOn: '2026-03-31', overdue: true }]);
  expect((await tasks()).closingSites[0]?.copies.map(({ number }) => number).sort()).toEqual(given.map(({ copy }) => copy.number).sort());
  for (const { copy, to } of given) await back(copy.id, to);
  expect((await tasks()).closingSites).toEqual([]);
  expect((await api.other.as('owner').get('/v1/key-tasks').expect(200)).body).toEqual({ leavers: [], closingSites: [] });
});
