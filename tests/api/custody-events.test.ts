import type { CustodyEvent, KeyCopyHistory, MadeKeyCopies } from '#contracts/custody';
import { onConnection } from '#tests/support/connection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { brokenInvariants } from '#tests/support/invariants';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import type { KeyReceivers } from '#contracts/own-keys';
import { errorsOf, makePerson, makeSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
let custodian: TestClient;
let owner: TestClient;
let cut: { id: string };
let accessCut: { id: string };
let safe: string;
let van: string;
let orla: string;
let pim: string;
let barkeeper: string;
let hook: string;

const unknownRing = '0195e000-0000-7000-8000-00000000e15e';
const person = (id: string) => ({ kind: 'person', id });
const store = (id: string) => ({ kind: 'store', id });
const place = (id: string) => ({ kind: 'place', id });
const hoursAfter = (instant: string, hours: number): string => new Date(Date.parse(instant) + hours * 3_600_000).toISOString();
const madeAt = '2026-03-01T08:00:00Z';
/** Minutes after noon of a day before the clock of the tests. */
const at = (minutes: number): string => new Date(Date.parse('2026-03-10T12:00:00Z') + minutes * 60_000).toISOString();

beforeAll(async () => {
  api = await startTestApi();
  owner = api.operator.as('owner');
  custodian = api.operator.as('custodian');
  const books = keyBooks(api.operator);
  cut = await books.cut({ class: 'cash-box' });
  accessCut = await books.cut({ class: 'access' });
  safe = await books.store();
  van = await books.store();
  orla = (await makePerson(owner, { name: 'Orla Venn' })).id;
  pim = (await makePerson(owner, { name: 'Pim Aske' })).id;
  const site = await makeSite(owner);
  barkeeper = (await makePerson(owner, { name: 'Bar Keeper', employedBy: 'site', siteId: site.id })).id;
  hook = await books.place({ siteId: site.id, responsiblePersonId: barkeeper });
});
afterAll(async () => {
  expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  await api.close();
});

async function newCopy(code = cut): Promise<string> {
  const made = await custodian.post('/v1/key-copies', { keyCodeId: code.id, numbers: [nextCode('K')], storeId: safe, happenedAt: madeAt, reason: 'Came with the lock' }).expect(201);
  return (made.body as MadeKeyCopies).items[0]?.id ?? '';
}
const record = (body: object, client = custodian) => client.post('/v1/custody-events', { reason: 'Route of the week', ...body });
const taken = async (body: object, client = custodian): Promise<CustodyEvent> => {
  const answer = await record(body, client);
  if (answer.status !== 201) throw new Error(`${answer.status} ${JSON.stringify(answer.body)}`);
  return answer.body as CustodyEvent;
};
const refusal = async (body: object, client = custodian): Promise<string[]> => errorsOf(await record(body, client).expect(422));
const holder = async (copy: string): Promise<string | undefined> => ((await custodian.get(`/v1/key-copies/${copy}`).expect(200)).body as KeyCopyHistory).where?.holder?.id;
const issue = (copy: string, to: object, more: object = {}) => ({ kind: 'issued', keyCopyIds: [copy], from: store(safe), to, ...more });

describe('copies', () => {
  test('are made with numbers of their own, put into a store, and listed', async () => {
    const numbers = [nextCode('K'), nextCode('K')];
    const made = (await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers, storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
    expect(made.items.map(({ number, class: kind, where }) => [number, kind, where?.state, where?.holder?.id])).toEqual(numbers.map((number) => [number, 'cash-box', 'held', safe]));
    const original = made.items[0]?.id ?? '';
    const more = (await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: van, duplicatedFromId: original, reason: 'One for the van' }).expect(201)).body as MadeKeyCopies;
    const duplicate = (await custodian.get(`/v1/key-copies/${more.items[0]?.id}`).expect(200)).body as KeyCopyHistory;
    expect(duplicate).toMatchObject({ duplicatedFromId: original, where: { holder: { id: van } }, history: [{ kind: 'duplicated', id: more.eventId, to: { id: van } }] });
    const listed = (await custodian.get(`/v1/key-copies?keyCodeId=${cut.id}&limit=2`).expect(200)).body as { items: { number: string }[]; next: string };
    const rest = (await custodian.get(`/v1/key-copies?keyCodeId=${cut.id}&cursor=${listed.next}`).expect(200)).body as typeof listed;
    expect([...listed.items, ...rest.items].map(({ number }) => number)).toEqual([...numbers, more.items[0]?.number]);
  });

  test('are refused by field', async () => {
    const make = async (body: object, status: number): Promise<string[]> => errorsOf(await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: safe, reason: 'Came with the lock', ...body }).expect(status));
    const number = nextCode('K');
    await make({ numbers: [number] }, 201);
    const copy = await newCopy();
    const unknown = '0195e000-0000-7000-8000-00000000e15e';
    expect(await make({ numbers: [nextCode('K'), number] }, 409)).toEqual(['#/numbers/1 taken']);
    expect(await make({ keyCodeId: unknown }, 422)).toEqual(['#/keyCodeId unknown']);
    expect(await make({ duplicatedFromId: unknown }, 422)).toEqual(['#/duplicatedFromId unknown']);
    expect(await make({ keyCodeId: accessCut.id, duplicatedFromId: copy }, 422)).toEqual(['#/duplicatedFromId other-code']);
    expect(await make({ duplicatedFromId: copy, happenedAt: '2026-02-01T08:00:00Z' }, 422)).toEqual(['#/duplicatedFromId not-at-hand']);
    expect((await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [number, number], storeId: safe, reason: 'Twice' }).expect(400)).body).toMatchObject({ code: 'invalid-request' });
  });
});

describe('a key goes round', () => {
  test('issued, handed over, missing, found, seen, returned, destroyed: at every moment it is with one holder', async () => {
    const copy = await newCopy(accessCut);
    const issued = await taken(issue(copy, person(orla), { happenedAt: at(0), dueBackAt: at(600) }));
    expect(issued).toMatchObject({ says: 'issued', dueBackAt: at(600), acknowledgeBy: hoursAfter(issued.recordedAt, 48), from: { id: safe }, to: { id: orla, name: 'Orla Venn' }, copies: [{ keyCopyId: copy, breachDueAt: null }] });
    await taken({ kind: 'handed-over', keyCopyIds: [copy], from: person(orla), to: place(hook), happenedAt: at(1) });
    await taken({ kind: 'reported-missing', keyCopyIds: [copy], happenedAt: at(2) });
    await taken({ kind: 'found', keyCopyIds: [copy], to: person(barkeeper), happenedAt: at(3) });
    await taken({ kind: 'seen', keyCopyIds: [copy], to: person(barkeeper), happenedAt: at(4) });
    await taken({ kind: 'returned', keyCopyIds: [copy], from: person(barkeeper), to: store(van), happenedAt: at(5) });
    await taken({ kind: 'destroyed', keyCopyIds: [copy], happenedAt: at(6) });
    const { history, where } = (await custodian.get(`/v1/key-copies/${copy}`).expect(200)).body as KeyCopyHistory;
    expect(history.map(({ kind }) => kind)).toEqual(['made', 'issued', 'handed-over', 'reported-missing', 'found', 'seen', 'returned', 'destroyed']);
    expect(where).toMatchObject({ state: 'destroyed', holder: null, since: at(6) });
  });

  test('events are listed last first, and found by copy, code, person and kind', async () => {
    const copy = await newCopy();
    const issued = await taken(issue(copy, person(orla)));
    const list = async (query: string): Promise<string[]> => ((await custodian.get(`/v1/custody-events?${query}`).expect(200)).body as { items: CustodyEvent[] }).items.map(({ id }) => id);
    expect(await list(`keyCopyId=${copy}&limit=1`)).toEqual([issued.id]);
    expect((await list(`keyCodeId=${cut.id}`)).includes(issued.id)).toBe(true);
    expect((await list(`keyCodeId=${accessCut.id}`)).includes(issued.id)).toBe(false);
    expect((await list(`personId=${orla}&kind=issued`)).includes(issued.id)).toBe(true);
    expect(await list(`personId=${orla}&kind=seen`)).toEqual([]);
    expect((await custodian.get(`/v1/custody-events/${issued.id}`).expect(200)).body).toEqual(issued);
    const pages: string[] = [];
    for (let cursor: string | null = ''; cursor !== null; ) {
      const page = (await custodian.get(`/v1/custody-events?keyCopyId=${copy}&limit=1${cursor === '' ? '' : `&cursor=${cursor}`}`).expect(200)).body as { items: CustodyEvent[]; next: string | null };
      pages.push(...page.items.map(({ kind }) => kind));
      cursor = page.next;
    }
    expect(pages).toEqual(['issued', 'made']);
  });

  test('a ring goes out and comes back as one event with its copies', async () => {
    const copies = [await newCopy(), await newCopy()].sort();
    const ring = '0195e000-0000-7000-8000-0000000000a1';
    await api.operator.inBooks(async (tx) => {
      await tx.sql('INSERT INTO key_ring (tenant_id, id, code, created_at) VALUES ($1, $2, $3, $4)', [tx.tenantId, ring, nextCode('RING'), madeAt]);
      for (const copy of copies) await tx.sql('INSERT INTO key_ring_copy (tenant_id, id, key_ring_id, key_copy_id, started_at) VALUES ($1, uuidv7(), $2, $3, $4)', [tx.tenantId, ring, copy, madeAt]);
    });
    const out = await taken({ kind: 'issued', keyRingId: ring, from: store(safe), to: person(orla), happenedAt: at(0) });
    expect([out.keyRing?.id, out.copies.map(({ keyCopyId }) => keyCopyId).sort()]).toEqual([ring, copies]);
    await taken({ kind: 'returned', keyRingId: ring, from: person(orla), to: store(safe), happenedAt: at(1) });
    expect(await Promise.all(copies.map(holder))).toEqual([safe, safe]);
    await taken({ kind: 'issued', keyCopyIds: [copies[0] ?? ''], from: store(safe), to: person(orla), happenedAt: at(2) });
    expect(await refusal({ kind: 'issued', keyRingId: ring, from: store(safe), to: person(pim), happenedAt: at(3) })).toEqual(['#/from not-with-giver']);
    expect(await refusal({ kind: 'issued', keyRingId: ring, from: store(safe), to: person(pim), happenedAt: '2026-02-01T08:00:00Z' })).toEqual(['#/keyRingId empty']);
  });

  test('a collector records what they give or take, and nothing else', async () => {
    const [mine, other] = [await newCopy(), await newCopy()];
    const collector = await api.operator.newMember('collector');
    await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId: orla });
    const own = await taken(issue(mine, person(orla), { happenedAt: at(0) }), collector);
    expect(own.acknowledgements).toMatchObject([{ side: 'receiver', how: 'recorded', person: { personId: orla } }]);
    await taken({ kind: 'reported-missing', keyCopyIds: [mine], happenedAt: at(1) }, collector);
    expect(await refusal(issue(other, person(pim)), collector)).toEqual(['#/kind not-your-own']);
    expect(await refusal({ kind: 'reported-missing', keyCopyIds: [other] }, collector)).toEqual(['#/kind not-your-own']);
    await taken(issue(other, person(pim), { happenedAt: at(0) }));
    // Who has it instead is not theirs to know.
    const told = await record({ kind: 'returned', keyCopyIds: [other], from: person(orla), to: store(safe), happenedAt: at(1) }, collector).expect(422);
    expect(JSON.stringify(told.body)).not.toContain('Pim');
    expect(errorsOf(told)).toEqual(['#/keyCopyIds/0 not-with-giver']);
  });
});

describe('the two classes', () => {
  test.each(['owner', 'custodian'] as const)('a cash-box key is given to nobody of a site, not by the %s either', async (role) => {
    const copy = await newCopy();
    expect(await refusal(issue(copy, person(barkeeper)), api.operator.as(role))).toEqual(['#/to cash-box-key-to-site']);
    expect(await refusal(issue(copy, place(hook)), api.operator.as(role))).toEqual(['#/to cash-box-key-to-site']);
    const said = await record(issue(copy, person(barkeeper)), api.operator.as(role)).expect(422);
    expect(JSON.stringify(said.body)).toContain('Nobody employed by a site is given such a key, whoever consents.');
  });

  // K.A.R. 112-104-34(b): 24 hours to put it right.
  test('one that is seen or found there is taken down as a breach with 24 hours to put it right', async () => {
    const copy = await newCopy();
    const seen = await taken({ kind: 'seen', keyCopyIds: [copy], to: person(barkeeper), happenedAt: at(0) });
    expect(seen.copies[0]?.breachDueAt).toBe(hoursAfter(seen.recordedAt, 24));
    expect(await holder(copy)).toBe(barkeeper);
    await taken({ kind: 'reported-missing', keyCopyIds: [copy], happenedAt: at(1) });
    const found = await taken({ kind: 'found', keyCopyIds: [copy], to: place(hook), happenedAt: at(2) });
    expect(found.copies[0]?.breachDueAt).toBe(hoursAfter(found.recordedAt, 24));
  });

  test('under an exception of the owner it is given, and the record names the exception, as long as it lasts', async () => {
    const copy = await newCopy();
    const exception = '0195e000-0000-7000-8000-0000000000e1';
    await api.operator.inBooks((tx) =>
      tx.sql(
        `INSERT INTO key_exception (tenant_id, id, person_id, label, reason, started_at, ended_at, end_recorded_at, review_on, granted_by, granted_at)
         VALUES ($1, $2, $3, 'Both roles', 'Works for us, too', $4, $5, $4, '2026-12-31', 'system:test', $4)`,
        [tx.tenantId, exception, barkeeper, at(0), at(10)],
      ),
    );
    const given = await taken(issue(copy, person(barkeeper), { happenedAt: at(1) }));
    expect(given.copies).toMatchObject([{ exceptionId: exception, breachDueAt: null }]);
    await taken({ kind: 'returned', keyCopyIds: [copy], from: person(barkeeper), to: store(safe), happenedAt: at(2) });
    expect(await refusal(issue(copy, person(barkeeper), { happenedAt: at(10) }))).toEqual(['#/to cash-box-key-to-site']);
  });

  test('an access key is', async () => {
    const copy = await newCopy(accessCut);
    await taken(issue(copy, person(barkeeper), { happenedAt: at(0) }));
    await taken({ kind: 'handed-over', keyCopyIds: [copy], from: person(barkeeper), to: place(hook), happenedAt: at(1) });
    expect(await holder(copy)).toBe(hook);
  });

  test('a cash-box key goes back to the custodian before somebody else gets it', async () => {
    const copy = await newCopy();
    await taken(issue(copy, person(orla), { happenedAt: at(0) }));
    expect(await refusal({ kind: 'handed-over', keyCopyIds: [copy], from: person(orla), to: person(pim), happenedAt: at(1) })).toEqual(['#/kind back-to-custodian']);
    await taken({ kind: 'returned', keyCopyIds: [copy], from: person(orla), to: store(safe), happenedAt: at(2) });
    await taken({ kind: 'handed-over', keyCopyIds: [copy], from: store(safe), to: store(van), happenedAt: at(3) });
    await taken({ kind: 'issued', keyCopyIds: [copy], from: store(van), to: person(pim), happenedAt: at(4) });
    expect(await holder(copy)).toBe(pim);
  });
});

describe('what cannot have happened', () => {
  let copy: string;
  beforeAll(async () => {
    copy = await newCopy();
    await taken(issue(copy, person(orla), { happenedAt: at(0) }));
  });

  test('who has it is named', async () => {
    const answer = await record({ kind: 'returned', keyCopyIds: [copy], from: person(pim), to: store(safe) }).expect(422);
    expect(JSON.stringify(answer.body)).toContain('was with Orla Venn (');
  });

  test('somebody who has left is given no key', async () => {
    const leaver = await makePerson(owner, { name: 'Lea Verr' });
    await owner.patch(`/v1/people/${leaver.id}`, { leftOn: '2026-03-05' }).set('If-Match', `"${leaver.revision}"`).expect(200);
    const key = await newCopy();
    expect(await refusal(issue(key, person(leaver.id)))).toEqual(['#/to not-employed']);
    await taken(issue(key, person(leaver.id), { happenedAt: '2026-03-05T18:00:00Z' }));
  });

  test('what comes in late must fit what is known of later times', async () => {
    expect(await refusal({ kind: 'reported-missing', keyCopyIds: [copy], happenedAt: '2026-03-02T00:00:00Z' })).toEqual(['#/happenedAt is-missing']);
  });
});

describe('corrections', () => {
  test('name the event, come from somebody else, and leave what was known before as it was', async () => {
    const copy = await newCopy();
    const wrong = await taken(issue(copy, person(orla), { happenedAt: at(0) }));
    api.clock.advance({ milliseconds: 60_000 });
    const correction = { kind: 'corrected', correctsId: wrong.id, says: 'issued', from: store(safe), to: person(pim), reason: 'It was Pim' };
    expect((await record(correction).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    const right = await taken(correction, owner);
    expect(right).toMatchObject({ kind: 'corrected', says: 'issued', happenedAt: at(0), correctsId: wrong.id, to: { id: pim }, withoutSecondPerson: false });
    expect(await holder(copy)).toBe(pim);
    const history = async (knownAt: string) => (await custodian.get(`/v1/key-copies/${copy}/custody?knownAt=${knownAt}`).expect(200)).body as { items?: object[] };
    expect(JSON.stringify(await history(wrong.recordedAt))).toContain(orla);
    expect(JSON.stringify(await history(right.recordedAt))).not.toContain(orla);
    expect((await custodian.get(`/v1/custody-events/${wrong.id}`).expect(200)).body).toMatchObject({ copies: [{ correctedById: right.id }] });
    expect((await record({ kind: 'corrected', correctsId: wrong.id, says: null, reason: 'Again' }, owner).expect(409)).body).toMatchObject({ code: 'wrong-state' });
    const nothing = await taken({ kind: 'corrected', correctsId: right.id, says: null, reason: 'Nobody got it' });
    expect(nothing.says).toBeNull();
    expect(await holder(copy)).toBe(safe);
  });

  test('cannot make a copy never made, nor take the ground from under what came later', async () => {
    const copy = await newCopy();
    const { history } = (await custodian.get(`/v1/key-copies/${copy}`).expect(200)).body as KeyCopyHistory;
    const made = history[0]?.id ?? '';
    expect(await refusal({ kind: 'corrected', correctsId: made, says: null, reason: 'Never' }, owner)).toEqual(['#/says never-made']);
    await taken(issue(copy, person(orla), { happenedAt: at(0) }));
    const later = { kind: 'corrected', correctsId: made, says: 'made', to: store(safe), reason: 'A day later' };
    expect(await refusal({ ...later, happenedAt: at(1) }, owner)).toEqual(['#/happenedAt before-made']);
    await taken({ ...later, happenedAt: at(-1) }, owner);
    const lost = await newCopy();
    const missing = await taken({ kind: 'reported-missing', keyCopyIds: [lost], happenedAt: at(0) });
    await taken({ kind: 'found', keyCopyIds: [lost], to: store(safe), happenedAt: at(1) });
    expect(await refusal({ kind: 'corrected', correctsId: missing.id, says: null, reason: 'It was there' }, owner)).toEqual(['#/happenedAt not-missing']);
  });

  test('may speak of one copy of an event alone', async () => {
    const copies = [await newCopy(), await newCopy()];
    const issued = await taken({ kind: 'issued', keyCopyIds: copies, from: store(safe), to: person(orla), happenedAt: at(0) });
    await taken({ kind: 'corrected', correctsId: issued.id, says: null, keyCopyIds: [copies[1] ?? ''], reason: 'Only the first' }, owner);
    expect(await Promise.all(copies.map(holder))).toEqual([orla, safe]);
    expect(await refusal({ kind: 'corrected', correctsId: issued.id, says: null, keyCopyIds: [await newCopy()], reason: 'Another' }, owner)).toEqual(['#/keyCopyIds/0 unknown']);
  });
});

describe('the clock', () => {
  test('that goes backwards makes nothing known before it was', async () => {
    const copy = await newCopy();
    const first = await taken(issue(copy, person(orla)));
    api.clock.advance({ milliseconds: -5 * 60_000 });
    const second = await taken({ kind: 'returned', keyCopyIds: [copy], from: person(orla), to: store(safe) });
    api.clock.advance({ milliseconds: 5 * 60_000 });
    expect(Date.parse(second.recordedAt)).toBe(Date.parse(first.recordedAt) + 1);
    expect(Date.parse(second.happenedAt)).toBe(Date.parse(first.happenedAt) + 1);
    api.clock.advance({ milliseconds: 1000 });
    expect(await holder(copy)).toBe(safe);
  });
});

describe('somebody of a site', () => {
  test('hands access keys on among their own people and places, and misses them; nothing else exists for them', async () => {
    const manager = api.operator.as('site-manager');
    const [own, other] = [await makeSite(owner), await makeSite(owner)];
    const staffOf = async (siteId: string, name: string): Promise<string> => (await makePerson(owner, { name, employedBy: 'site', siteId })).id;
    const [lena, tom, stranger] = [await staffOf(own.id, 'Lena Orr'), await staffOf(own.id, 'Tom Ash'), await staffOf(other.id, 'Stray Moss')];
    const shelf = await keyBooks(api.operator).place({ siteId: own.id, responsiblePersonId: lena });
    await bindToPerson(owner, { accountId: manager.id, role: 'site-manager', personId: lena, siteIds: [own.id] });
    const given = async (to: object, code = accessCut): Promise<string> => {
      const copy = await newCopy(code);
      await custodian.post('/v1/custody-events', { kind: code === cut ? 'seen' : 'issued', keyCopyIds: [copy], ...(code === cut ? {} : { from: store(safe) }), to, happenedAt: at(1), reason: 'For small faults' }).expect(201);
      return copy;
    };
    const [onShelf, withStranger, ofTheBox] = [await given(place(shelf)), await given(person(stranger)), await given(person(tom), cut)];
    const { items } = (await manager.get('/v1/own-keys/receivers').expect(200)).body as KeyReceivers;
    expect(items.map(({ kind, name }) => [kind, name])).toEqual([['person', 'Lena Orr'], ['person', 'Tom Ash'], ['place', expect.any(String)]]);

    const event = (more: object) => manager.post('/v1/custody-events', { kind: 'handed-over', keyCopyIds: [onShelf], from: place(shelf), to: person(tom), reason: 'Works the weekend', ...more });
    const refused = async (more: object): Promise<string[]> => errorsOf(await event(more).expect(422));
    expect(await refused({ to: person(stranger) })).toEqual(['#/to/id unknown']);
    expect(await refused({ to: store(safe) })).toEqual(['#/to/id unknown']);
    expect(await refused({ keyCopyIds: [withStranger], from: person(stranger) })).toEqual(['#/keyCopyIds/0 unknown']);
    expect(await refused({ keyCopyIds: [ofTheBox], from: person(tom), to: person(lena) })).toEqual(['#/keyCopyIds/0 unknown']);
    expect(await refused({ kind: 'reported-missing', keyCopyIds: [ofTheBox], from: null, to: null })).toEqual(['#/keyCopyIds/0 unknown']);
    expect(await refused({ kind: 'returned', to: store(safe) })).toEqual(['#/kind not-your-own']);
    expect(await refused({ keyCopyIds: undefined, keyRingId: unknownRing })).toEqual(['#/keyRingId not-your-own']);
    expect((await event({}).expect(201)).body).toMatchObject({ to: { id: tom }, acknowledgements: [{ side: 'giver', how: 'recorded' }] });
    api.clock.advance({ milliseconds: 10 });
    await manager.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [onShelf], reason: 'Tom lost it' }).expect(201);
    const cases = (await owner.get(`/v1/key-cases?keyCodeId=${accessCut.id}`).expect(200)).body as { items: { lostCopies: { keyCopyId: string }[] }[] };
    expect(cases.items[0]?.lostCopies.map(({ keyCopyId }) => keyCopyId)).toContain(onShelf);
  });

  test('a collector misses a ring only where all its keys are their own', async () => {
    const collector = await api.operator.newMember('collector');
    await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId: orla });
    const copies = [await newCopy(), await newCopy()];
    const ring = (await custodian.post('/v1/key-rings', { code: nextCode('R') }).expect(201)).body as { id: string };
    await custodian.post(`/v1/key-rings/${ring.id}/copies`, { putOn: copies }).expect(200);
    api.clock.advance({ milliseconds: 10 });
    const miss = () => collector.post('/v1/custody-events', { kind: 'reported-missing', keyRingId: ring.id, reason: 'Gone with the bag' });
    expect(errorsOf(await miss().expect(422))).toEqual(['#/kind not-your-own']);
    await custodian.post('/v1/custody-events', { kind: 'issued', keyRingId: ring.id, from: store(safe), to: person(orla), reason: 'Round of the week' }).expect(201);
    api.clock.advance({ milliseconds: 10 });
    await miss().expect(201);
  });
});

describe('two at once', () => {
  test('two hand-overs of one copy at the same moment: one wins', async () => {
    for (let round = 0; round < 5; round += 1) {
      const copy = await newCopy();
      const answers = await Promise.all([record(issue(copy, person(orla)), custodian), record(issue(copy, person(pim)), owner)]);
      expect(answers.map(({ status }) => status).sort()).toEqual([201, 422]);
      const won = answers.find(({ status }) => status === 201)?.body as CustodyEvent;
      api.clock.advance({ milliseconds: 10 });
      expect(await holder(copy)).toBe(won.to?.id);
    }
  });

  test('a request that comes again records nothing twice', async () => {
    const copy = await newCopy();
    const send = () => record(issue(copy, person(orla))).set('Idempotency-Key', `once-${copy}`).expect(201);
    const first = await send();
    expect((await send()).body).toEqual(first.body);
    expect(((await custodian.get(`/v1/key-copies/${copy}`).expect(200)).body as KeyCopyHistory).history).toHaveLength(2);
  });
});
