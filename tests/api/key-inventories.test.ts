import { readKeyInventorySchedule } from '#backoffice/key-inventory/schedule';
import type { KeyInventory, KeyInventorySchedule, KeyInventorySummary } from '#contracts/key-inventory';
import type { OwnInventories } from '#contracts/own-keys';
import { attempt } from '#database/constraint';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { bindToPerson, heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { errorsOf, makeMachine, makePerson } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let bookkeeper: TestClient;
let custodian: TestClient;
let collector: TestClient;
let keys: ReturnType<typeof keyBooks>;
let orla: string;
let keeper: string;

const unknown = '0195e000-0000-7000-8000-00000000e15e';
const madeAt = '2026-01-02T08:00:00Z';

beforeAll(async () => {
  api = await startTestApi();
  [owner, bookkeeper, custodian] = [api.operator.as('owner'), api.operator.as('bookkeeper'), await api.operator.newMember('custodian')];
  collector = await api.operator.newMember('collector');
  keys = keyBooks(api.operator);
  orla = (await makePerson(owner, { name: 'Orla Venn' })).id;
  keeper = (await makePerson(owner, { name: 'Ness Tarrow' })).id;
  await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId: orla });
  for (const [role, name] of [['owner', 'Tove Lark'], ['bookkeeper', 'Una Bly']] as const) {
    await bindToPerson(owner, { accountId: api.operator.as(role).id, role, personId: (await makePerson(owner, { name })).id });
  }
  await bindToPerson(owner, { accountId: custodian.id, role: 'custodian', personId: keeper });
});
afterAll(() => api?.close());

/** A store with its keeper and as many copies of one cut as asked for. */
async function storeOf(copies: number) {
  const storeId = await keys.store();
  await keys.custodian({ storeId, personId: keeper, from: madeAt });
  const cut = await keys.cut({ class: 'cash-box' });
  const made: KeyCopyOfTest[] = [];
  for (let number = 0; number < copies; number += 1) made.push(await keys.copy({ cut, storeId, madeAt }));
  return { storeId, cut, copies: made, ids: made.map(({ id }) => id) };
}
const open = (body: object, client = owner) => client.post('/v1/key-inventories', { cause: 'by-hand', reason: 'Asked for by the insurer', ...body });
const opened = async (body: object): Promise<KeyInventory> => (await open(body).expect(201)).body as KeyInventory;
const see = (id: string, body: object, client = bookkeeper) => client.post(`/v1/key-inventories/${id}/seen`, body);
const attest = (id: string, keyCopyIds: string[], client = collector) => client.post(`/v1/key-inventories/${id}/attest`, { keyCopyIds });
const close = (id: string, client = bookkeeper) => client.post(`/v1/key-inventories/${id}/close`, { reason: 'Counted by two' });

describe('a count of a store', () => {
  test('sees every copy as an event of custody, and is closed with the equation of each cut', async () => {
    const { storeId, cut, ids } = await storeOf(3);
    const { id, items, copies } = await opened({ storeId });
    expect([copies, items.map(({ keyCopyId }) => keyCopyId).sort()]).toEqual([3, [...ids].sort()]);
    const counted = (await see(id, { keyCopyIds: ids, at: inStore(storeId) }).expect(200)).body as KeyInventory;
    expect(counted.items.map((item) => item.counted)).toEqual(ids.map(() => ({ how: 'seen', at: '2026-03-31T12:00:00.000Z', by: `user:${bookkeeper.id}`, withoutSecondPerson: false })));
    expect(((await owner.get(`/v1/key-copies/${ids[0]}`).expect(200)).body as { history: { kind: string }[] }).history.map(({ kind }) => kind)).toEqual(['made', 'seen']);
    const closed = (await close(id).expect(200)).body as KeyInventory;
    expect(closed).toMatchObject({
      closed: { by: `user:${bookkeeper.id}`, reason: 'Counted by two' },
      lines: [{ keyCodeId: cut.id, made: 3, duplicated: 0, destroyed: 0, inStores: 3, withHolders: 0, missing: 0, unaccounted: 0 }],
      total: { made: 3, inStores: 3, unaccounted: 0 },
      discrepancies: [],
    });
    expect((await owner.get(`/v1/key-inventories/${id}`).expect(200)).body).toEqual(closed);
  });

  // Conservation, the worked example: made 6 + duplicated 1 - destroyed 2 = 5; store 3 + issued 1, so one is unaccounted.
  test('names the key that nobody has', async () => {
    const { storeId, cut, copies, ids } = await storeOf(6);
    const [first, second, third, out, gone, destroyed] = copies;
    const more = (await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [`D-${copies[0]?.number}`], storeId, duplicatedFromId: first?.id, reason: 'One more' }).expect(201)).body as { items: { id: string }[] };
    const { id } = await opened({ storeId });
    await custodian.post('/v1/custody-events', { kind: 'destroyed', keyCopyIds: [destroyed?.id, more.items[0]?.id], reason: 'Bent' }).expect(201);
    await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [out?.id], from: inStore(storeId), to: heldBy(orla), reason: 'Route of the week' }).expect(201);
    await see(id, { keyCopyIds: [first?.id, second?.id, third?.id], at: inStore(storeId) }).expect(200);
    expect((await attest(id, [out?.id ?? '']).expect(200)).body).toEqual({ attested: 1 });
    const closed = (await close(id).expect(200)).body as KeyInventory;
    expect(closed.lines).toEqual([expect.objectContaining({ made: 6, duplicated: 1, destroyed: 2, inStores: 3, withHolders: 1, missing: 0, unaccounted: 1 })]);
    expect(closed.discrepancies).toEqual([{ kind: 'not-seen', keyCodeId: cut.id, code: cut.code, keyCopyId: gone?.id, number: gone?.number, note: null }]);
    expect(closed.items).toHaveLength(ids.length + 1);
  });

  test('names a key elsewhere, one that was missing, and one too many', async () => {
    const { storeId, cut, copies: [first, second, third] } = await storeOf(3);
    const other = await keys.store();
    const { id } = await opened({ storeId });
    await custodian.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [second?.id], reason: 'Not in its place' }).expect(201);
    expect((await owner.get(`/v1/key-inventories/${id}`).expect(200)).body).toMatchObject({ lines: [{ missing: 1, unaccounted: 2 }] });
    api.clock.advance({ milliseconds: 60_000 });
    await see(id, { keyCopyIds: [second?.id, first?.id], at: inStore(other) }).expect(200);
    await see(id, { keyCopyIds: [third?.id], at: inStore(storeId) }).expect(200);
    await bookkeeper.post(`/v1/key-inventories/${id}/surplus`, { keyCodeId: cut.id, note: 'A fourth one, without a number' }).expect(200);
    const closed = (await close(id).expect(200)).body as KeyInventory;
    expect(closed.discrepancies.map(({ kind, number, note }) => [kind, number, note])).toEqual([
      ['seen-elsewhere', first?.number, null],
      ['was-missing', second?.number, null],
      ['surplus', null, 'A fourth one, without a number'],
    ]);
    expect(closed.total).toMatchObject({ made: 3, inStores: 3, missing: 0, unaccounted: 0 });
    const history = (await owner.get(`/v1/key-copies/${second?.id}`).expect(200)).body as { history: { kind: string }[]; where: { holder: { id: string } } };
    expect([history.history.map(({ kind }) => kind), history.where.holder.id]).toEqual([['made', 'reported-missing', 'found'], other]);
  });

  test('is refused by field', async () => {
    const { storeId, ids: [first = '', second = ''] } = await storeOf(2);
    const elsewhere = await storeOf(1);
    const { id } = await opened({ storeId });
    const wrong = async (body: object): Promise<string[]> => errorsOf(await see(id, { at: inStore(storeId), keyCopyIds: [first], ...body }).expect(422));
    expect(await wrong({ keyCopyIds: [first, elsewhere.ids[0]] })).toEqual(['#/keyCopyIds/1 not-asked-for']);
    expect(await wrong({ keyCopyIds: [unknown] })).toEqual(['#/keyCopyIds/0 not-asked-for']);
    expect(await wrong({ at: inStore(unknown) })).toEqual(['#/at/id unknown']);
    await see(id, { at: inStore(storeId), keyCopyIds: [first] }).expect(200);
    expect(await wrong({})).toEqual(['#/keyCopyIds/0 counted-already']);
    await custodian.post('/v1/custody-events', { kind: 'destroyed', keyCopyIds: [second], reason: 'Bent' }).expect(201);
    expect(await wrong({ keyCopyIds: [second] })).toEqual(['#/keyCopyIds/0 destroyed']);
    expect(errorsOf(await bookkeeper.post(`/v1/key-inventories/${id}/surplus`, { keyCodeId: unknown, note: 'No number on it' }).expect(422))).toEqual(['#/keyCodeId unknown']);
    expect(errorsOf(await open({ storeId }).expect(409))).toEqual(['#/storeId inventory-open']);
    expect(errorsOf(await open({ storeId: unknown }).expect(422))).toEqual(['#/storeId unknown']);
    expect(errorsOf(await open({ id, storeId: elsewhere.storeId }).expect(409))).toEqual(['#/id taken']);
    expect(errorsOf(await open({ cause: 'custodian-change' }).expect(400))).toEqual(['#/storeId missing']);
    expect(errorsOf(await open({ cause: 'schedule', storeId }).expect(400))).toEqual(['#/storeId not-of-this-kind']);
    await close(id).expect(200);
    for (const answer of [close(id), see(id, { at: inStore(storeId), keyCopyIds: [first] }), attest(id, [first]), bookkeeper.post(`/v1/key-inventories/${id}/surplus`, { note: 'No number on it' })]) {
      expect((await answer.expect(409)).body).toMatchObject({ code: 'wrong-state' });
    }
    await close(unknown).expect(404);
    await see(unknown, { at: inStore(storeId), keyCopyIds: [first] }).expect(404);
  });
});

describe('who counts', () => {
  test('is not who keeps the keys, neither in the store nor where the books have them', async () => {
    const { storeId, ids: [first = '', second = ''] } = await storeOf(2);
    const { id } = await opened({ storeId });
    expect((await see(id, { at: inStore(storeId), keyCopyIds: [first] }, custodian).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    expect((await see(id, { at: inStore(await keys.store()), keyCopyIds: [first] }, custodian).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    // Whose keys these are cannot be told of an account that is bound to nobody.
    const stranger = (await see(id, { at: inStore(storeId), keyCopyIds: [first] }, await api.operator.newMember('reviewer')).expect(409)).body as { code: string; detail: string };
    expect([stranger.code, stranger.detail]).toEqual(['wrong-person', expect.stringContaining('bound to no person')]);
    await see(id, { at: inStore(storeId), keyCopyIds: [first, second] }, owner).expect(200);
    expect((await close(id, custodian).expect(403)).body).toMatchObject({ code: 'not-allowed' });
  });

  test('a holder attests their own keys, nobody else’s, and none in a store', async () => {
    const { storeId, ids: [mine = '', others = '', kept = ''] } = await storeOf(3);
    const { id } = await opened({ storeId });
    const pim = (await makePerson(owner, { name: 'Pim Aske' })).id;
    for (const [copy, to] of [[mine, orla], [others, pim]] as const) await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [copy], from: inStore(storeId), to: heldBy(to), reason: 'Route of the week' }).expect(201);
    expect(errorsOf(await attest(id, [mine, others, kept]).expect(422))).toEqual(['#/keyCopyIds/1 not-with-you', '#/keyCopyIds/2 in-store']);
    await attest(id, [mine]).expect(200);
    expect(errorsOf(await attest(id, [mine]).expect(422))).toEqual(['#/keyCopyIds/0 counted-already']);
    const { items } = (await owner.get(`/v1/key-inventories/${id}`).expect(200)).body as KeyInventory;
    expect(items.flatMap((item) => (item.counted === null ? [] : [[item.keyCopyId, item.counted.how, item.counted.by]]))).toEqual([[mine, 'attested', `user:${collector.id}`]]);
  });
});

test('whoever holds keys finds the open counts that ask for them, and attests what is left', async () => {
  const { storeId, ids: [mine = '', kept = ''] } = await storeOf(2);
  const { id } = await opened({ storeId });
  const own = async (client = collector): Promise<OwnInventories['items']> => ((await client.get('/v1/own-keys/inventories').expect(200)).body as OwnInventories).items.filter((item) => item.id === id);
  expect(await own()).toEqual([]);
  await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [mine], from: inStore(storeId), to: heldBy(orla), reason: 'Route of the week' }).expect(201);
  const copies = (counted: boolean) => [expect.objectContaining({ id, reason: 'Asked for by the insurer', copies: [expect.objectContaining({ keyCopyId: mine, class: 'cash-box', holder: expect.objectContaining({ kind: 'person', id: orla }), counted })] })];
  expect(await own()).toEqual(copies(false));
  // Who keeps the store has these keys, too, but is not the one to attest them.
  expect((await own(custodian)).flatMap((item) => item.copies.map(({ keyCopyId }) => keyCopyId))).not.toContain(kept);
  expect((await attest(id, [mine]).expect(200)).body).toEqual({ attested: 1 });
  expect(await own()).toEqual(copies(true));
  await close(id).expect(200);
  expect(await own()).toEqual([]);
});

test('the database keeps a closed count as it is, and every equation even', async () => {
  const { storeId, cut } = await storeOf(1);
  const { id } = await opened({ storeId });
  const tryTo = (text: string, values: readonly unknown[]) =>
    api.operator.inBooks(async (tx) => {
      const tried = await attempt(tx, () => tx.sql(text.replaceAll('TENANT', `'${tx.tenantId}'`), values));
      return tried.ok ? 'taken' : tried.violation.constraint;
    });
  const line = `INSERT INTO key_inventory_line (tenant_id, key_inventory_id, key_code_id, made, duplicated, destroyed, in_stores, with_holders, missing, unaccounted) VALUES (TENANT, $1, $2, 6, 1, 2, 3, 1, 0, $3)`;
  expect(await tryTo(line, [id, cut.id, 0])).toBe('key_inventory_line_conserves');
  await close(id).expect(200);
  expect(await tryTo(line, [id, cut.id, 1])).toBe('key_inventory_stays');
  expect(await tryTo(`UPDATE key_inventory SET closing_reason = 'Better' WHERE tenant_id = TENANT AND id = $1`, [id])).toBe('key_inventory_stays');
  expect(await tryTo(`UPDATE key_inventory SET closed_at = NULL, closed_by = NULL, closing_reason = NULL WHERE tenant_id = TENANT AND id = $1`, [id])).toBe('key_inventory_stays');
});

describe('the schedule', () => {
  // 25 CFR 543.24(d)(8)(iv): quarterly. 10 CFR 95.25(j): an inventory at each change of custody.
  test('asks for a count each quarter, and where the custodian changed', async () => {
    const { storeId } = await storeOf(1);
    const schedule = async (): Promise<KeyInventorySchedule> => (await owner.get('/v1/key-inventory-schedule').expect(200)).body as KeyInventorySchedule;
    // The first keys came on 2 January.
    expect(await schedule()).toMatchObject({ everyMonths: 3, lastClosedOn: null, nextDueOn: '2026-04-02', overdue: false });
    const handed = await keys.store();
    const next = (await makePerson(owner, { name: 'Marla Quist' })).id;
    await keys.custodian({ storeId: handed, personId: keeper, from: madeAt, to: '2026-03-20T08:00:00Z' });
    await keys.custodian({ storeId: handed, personId: next, from: '2026-03-20T08:00:00Z' });
    const changed = (await schedule()).custodianChanges;
    expect(changed).toMatchObject([{ store: { storeId: handed }, custodian: { personId: next }, dueOn: '2026-03-20', overdue: true }]);
    await close((await opened({ cause: 'custodian-change', storeId: handed })).id).expect(200);
    expect((await schedule()).custodianChanges).toEqual([]);

    // 10 CFR 95.25(j): locks are changed at least every twelve months; today is 31 March in Chicago. In UTC the old one was fitted on the 31st, too.
    const [machine, cut] = [await makeMachine(owner), await keys.cut({ class: 'cash-box' })];
    const old = await keys.lock({ machineId: machine.id, cut, opens: 'cash-box', place: 'old-door', fittedAt: '2025-03-31T04:00:00Z' });
    await keys.lock({ machineId: machine.id, cut, opens: 'cash-box', place: 'new-door', fittedAt: '2025-03-31T06:00:00Z' });
    expect((await schedule()).oldLocks).toEqual([
      { lockId: old, machineId: machine.id, machineTag: machine['tag'], place: 'old-door', opens: 'cash-box', keyCodeId: cut.id, code: cut.code, fittedAt: '2025-03-31T04:00:00.000Z', changeDueOn: '2026-03-30' },
    ]);
    expect((await owner.get('/v1/key-inventory-schedule/export').expect(200)).text).toContain(`old-lock,,,,,${String(machine['tag'])},old-door,cash-box,${cut.code},2025-03-31T04:00:00.000Z,2026-03-30,yes`);

    const whole = await opened({ cause: 'schedule' });
    expect(whole.items.some(({ where }) => where.holder?.id === storeId)).toBe(true);
    expect((await schedule()).nextDueOn).toBe('2026-04-02');
    await close(whole.id).expect(200);
    expect(await schedule()).toMatchObject({ lastClosedOn: '2026-03-31', nextDueOn: '2026-06-30', overdue: false });
    const { items } = (await owner.get('/v1/key-inventories?state=closed&limit=1').expect(200)).body as { items: KeyInventorySummary[] };
    expect(items).toMatchObject([{ id: whole.id, cause: 'schedule', store: null }]);
    api.clock.advance({ milliseconds: 92 * 86_400_000 });
    // No session lives that long.
    const later = await readKeyInventorySchedule(api.backoffice, { kind: 'system', id: 'test', tenantId: api.operator.tenantId });
    expect(later).toMatchObject({ ok: true, value: { nextDueOn: '2026-06-30', overdue: true } });
  });
});
