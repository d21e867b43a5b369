import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import { errorsOf, makeMachine, makePerson, makePlacement, makeSite, nextCode } from '#tests/support/set-up';

// What cannot have happened to a key, or must not: each refused with its status, its code, and the field that is wrong. Nothing
// of it reaches the books.

let api: TestApi;
let owner: TestClient;
let custodian: TestClient;
let collector: TestClient;
let manager: TestClient;

const unknown = '0195e000-0000-7000-8000-00000000e15e';
const HOUR = 3_600_000;
const person = (id: string) => ({ kind: 'person', id });
const store = (id: string) => ({ kind: 'store', id });
const place = (id: string) => ({ kind: 'place', id });
/** Minutes after noon of a day before the clock of the tests. */
const at = (minutes: number): string => new Date(Date.parse('2026-03-10T12:00:00Z') + minutes * 60_000).toISOString();

/** Somebody of each side, a safe and a van, a cut of each class, and copies in every state. */
const books = { safe: '', van: '', orla: '', pim: '', barkeeper: '', hook: '', copy: '', spare: '', lost: '', gone: '', carried: '', access: '', ofAccess: '', cashBox: '', machine: '', inShop: '', lock: '' };
const events = { issued: '', byLink: '', confirmed: '', missing: '', caseId: '', oldLink: '' };

beforeAll(async () => {
  api = await startTestApi();
  [owner, custodian, manager, collector] = [api.operator.as('owner'), api.operator.as('custodian'), api.operator.as('site-manager'), await api.operator.newMember('collector')];
  await setUpBooks();
  await setUpEvents();
});
afterAll(() => api?.close());

async function setUpBooks(): Promise<void> {
  const tables = keyBooks(api.operator);
  const site = await makeSite(owner, { id: api.operator.siteId });
  Object.assign(books, { safe: await tables.store(), van: await tables.store(), inShop: (await makeMachine(owner)).id, machine: (await makeMachine(owner)).id });
  Object.assign(books, { orla: (await makePerson(owner, { name: 'Orla Venn' })).id, pim: (await makePerson(owner, { name: 'Pim Aske' })).id });
  books.barkeeper = (await makePerson(owner, { name: 'Bar Keeper', employedBy: 'site', siteId: site.id })).id;
  books.hook = await tables.place({ siteId: site.id, responsiblePersonId: books.barkeeper });
  Object.assign(books, { cashBox: (await tables.cut({ class: 'cash-box' })).id, access: (await tables.cut({ class: 'access' })).id });
  await makePlacement(owner, { machineId: books.machine, siteId: site.id, placedOn: '2025-02-01' });
  await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId: books.orla });
  await bindToPerson(owner, { accountId: manager.id, role: 'site-manager', personId: books.barkeeper, siteIds: [site.id] });
  const lock = { machineId: books.machine, place: 'cash-door', opens: 'cash-box', keyCodeId: books.cashBox, fittedAt: at(0) };
  books.lock = ((await owner.post('/v1/machine-locks', lock).expect(201)).body as { id: string }).id;
  for (const name of ['copy', 'spare', 'lost', 'gone', 'carried'] as const) books[name] = await newCopy(books.cashBox);
  books.ofAccess = await newCopy(books.access);
}

async function setUpEvents(): Promise<void> {
  events.issued = await taken(issue(books.copy, person(books.orla), { happenedAt: at(0) }));
  events.confirmed = await taken(issue(books.carried, person(books.orla), { happenedAt: at(0) }));
  await collector.post(`/v1/custody-events/${events.confirmed}/acknowledgements`, { side: 'receiver' }).expect(201);
  events.missing = await taken({ kind: 'reported-missing', keyCopyIds: [books.lost], happenedAt: at(0) });
  await taken({ kind: 'destroyed', keyCopyIds: [books.gone], happenedAt: at(0) });
  events.byLink = await taken(issue(books.ofAccess, person(books.barkeeper), { happenedAt: at(0) }));
  const link = (await custodian.post(`/v1/custody-events/${events.byLink}/links`, { side: 'receiver' }).expect(201)).body as { address: string };
  events.oldLink = link.address.split('#')[1] ?? '';
  const { items } = (await owner.get(`/v1/key-cases?keyCodeId=${books.cashBox}`).expect(200)).body as { items: { id: string }[] };
  events.caseId = items[0]?.id ?? '';
}

async function newCopy(keyCodeId: string): Promise<string> {
  const made = await custodian.post('/v1/key-copies', { keyCodeId, numbers: [nextCode('K')], storeId: books.safe, happenedAt: '2026-03-01T08:00:00Z', reason: 'Came with the lock' }).expect(201);
  return (made.body as MadeKeyCopies).items[0]?.id ?? '';
}
const record = (body: object, client = custodian) => client.post('/v1/custody-events', { reason: 'Route of the week', ...body });
const taken = async (body: object): Promise<string> => ((await record(body).expect(201)).body as { id: string }).id;
const issue = (copy: string, to: object, more: object = {}) => ({ kind: 'issued', keyCopyIds: [copy], from: store(books.safe), to, ...more });
const handOver = (copy: string, from: object, to: object, more: object = {}) => ({ kind: 'handed-over', keyCopyIds: [copy], from, to, ...more });
const backToSafe = (copy: string, from: object, more: object = {}) => ({ kind: 'returned', keyCopyIds: [copy], from, to: store(books.safe), ...more });
const acknowledge = (event: string, client: TestClient, side = 'receiver') => client.post(`/v1/custody-events/${event}/acknowledgements`, { side });
const lock = (more: object) => owner.post('/v1/machine-locks', { machineId: books.machine, place: 'second-door', opens: 'cash-box', keyCodeId: books.cashBox, fittedAt: at(1), ...more });
const later = async <Answer>(hours: number, send: () => PromiseLike<Answer>): Promise<Answer> => {
  api.clock.advance({ milliseconds: hours * HOUR });
  const answer = await send();
  api.clock.advance({ milliseconds: -hours * HOUR });
  return answer;
};

type Row = readonly [title: string, send: () => PromiseLike<{ status: number; body: unknown }>, refused: string];

const toASite: Row[] = [
  ['issued to somebody of a site by the owner', () => record(issue(books.spare, person(books.barkeeper)), owner), '422 invalid-command #/to cash-box-key-to-site'],
  ['issued to somebody of a site by the custodian', () => record(issue(books.spare, person(books.barkeeper))), '422 invalid-command #/to cash-box-key-to-site'],
  ['issued to a place at a site', () => record(issue(books.spare, place(books.hook)), owner), '422 invalid-command #/to cash-box-key-to-site'],
  ['issued together with an access key', () => record({ ...issue(books.spare, person(books.barkeeper)), keyCopyIds: [books.spare, books.ofAccess] }), '422 invalid-command #/to cash-box-key-to-site'],
  ['handed to somebody of a site by the collector who has it', () => record(handOver(books.copy, person(books.orla), person(books.barkeeper)), collector), '422 invalid-command #/to cash-box-key-to-site,#/kind back-to-custodian'],
  ['taken by the manager of the site', () => record(handOver(books.copy, person(books.orla), person(books.barkeeper)), manager), '422 invalid-command #/keyCopyIds/0 unknown'],
  ['issued by the bookkeeper, who issues nothing', () => record(issue(books.spare, person(books.orla)), api.operator.as('bookkeeper')), '403 not-allowed'],
];

const impossible: Row[] = [
  ['handed over by somebody who does not hold it', () => record(handOver(books.ofAccess, person(books.orla), person(books.pim))), '422 invalid-command #/keyCopyIds/0 not-with-giver'],
  ['given back by somebody who does not hold it', () => record(backToSafe(books.copy, person(books.pim))), '422 invalid-command #/keyCopyIds/0 not-with-giver'],
  ['issued out of a store where it is not', () => record(issue(books.copy, person(books.pim))), '422 invalid-command #/keyCopyIds/0 not-with-giver'],
  ['before it was made', () => record(issue(books.copy, person(books.pim), { happenedAt: '2026-02-01T00:00:00Z' })), '422 invalid-command #/happenedAt before-made'],
  ['after it was destroyed', () => record(issue(books.gone, person(books.pim))), '422 invalid-command #/happenedAt after-destroyed'],
  ['found though it never was missing', () => record({ kind: 'found', keyCopyIds: [books.copy], to: person(books.pim) }), '422 invalid-command #/kind not-missing'],
  ['issued while it is missing', () => record(issue(books.lost, person(books.pim))), '422 invalid-command #/kind is-missing'],
  ['at the very moment of something else', () => record(backToSafe(books.copy, person(books.orla), { happenedAt: at(0) })), '422 invalid-command #/happenedAt same-moment'],
  ['in the future', () => record(backToSafe(books.copy, person(books.orla), { happenedAt: '2026-03-31T13:00:00Z' })), '422 invalid-command #/happenedAt in-future'],
  ['a copy that nobody knows', () => record(issue(unknown, person(books.pim))), '422 invalid-command #/keyCopyIds/0 unknown'],
  ['to somebody whom nobody knows', () => record(issue(books.spare, person(unknown))), '422 invalid-command #/to/id unknown'],
  ['a ring that nobody knows', () => record({ kind: 'issued', keyRingId: unknown, from: store(books.safe), to: person(books.pim) }), '422 invalid-command #/keyRingId unknown'],
  ['neither copies nor ring', () => record({ kind: 'issued', from: store(books.safe), to: person(books.pim) }), '422 invalid-command #/keyCopyIds missing'],
  ['issued by nobody', () => record({ ...issue(books.spare, person(books.pim)), from: null }), '422 invalid-command #/from missing'],
  ['issued into a store', () => record(issue(books.spare, store(books.van))), '422 invalid-command #/to not-a-person-or-place'],
  ['issued by a person', () => record({ ...issue(books.copy, person(books.pim)), from: person(books.orla) }), '422 invalid-command #/from not-a-store'],
  ['missing with a receiver', () => record({ kind: 'reported-missing', keyCopyIds: [books.copy], to: person(books.pim) }), '422 invalid-command #/to not-of-this-kind'],
  ['handed over into a store by a person', () => record(handOver(books.copy, person(books.orla), store(books.safe))), '422 invalid-command #/to another-kind'],
  ['handed over to oneself', () => record(handOver(books.copy, person(books.orla), person(books.orla))), '422 invalid-command #/to same-as-giver'],
  ['lent until before it was given', () => record(issue(books.spare, person(books.pim), { happenedAt: at(5), dueBackAt: at(4) })), '422 invalid-command #/dueBackAt before-it-was-given'],
  ['a return that is lent', () => record(backToSafe(books.copy, person(books.orla), { dueBackAt: at(900) })), '422 invalid-command #/dueBackAt not-of-this-kind'],
  ['a correction of nothing', () => record({ kind: 'corrected', says: null }), '422 invalid-command #/correctsId missing'],
  ['a correction of an unknown event', () => record({ kind: 'corrected', says: null, correctsId: unknown }), '422 invalid-command #/correctsId unknown'],
  ['a correction that says nothing', () => record({ kind: 'corrected', correctsId: unknown }), '422 invalid-command #/says missing'],
  ['a kind of event that there is not', () => record({ kind: 'borrowed', keyCopyIds: [books.copy] }), '400 invalid-request #/kind not-one-of'],
  ['a day that does not exist', () => record(issue(books.spare, person(books.pim), { happenedAt: '2026-02-30T08:00:00Z' })), '400 invalid-request #/happenedAt wrong-format'],
];

const confirming: Row[] = [
  ['by the wrong person', () => acknowledge(events.issued, manager), '409 wrong-person'],
  ['by somebody whose account is bound to nobody', () => acknowledge(events.issued, owner), '409 wrong-person'],
  ['twice', () => acknowledge(events.confirmed, collector), '409 confirmed-already'],
  ['of what has no receiver', () => acknowledge(events.missing, custodian), '409 wrong-state'],
  ['of a side that there is not', () => acknowledge(events.issued, collector, 'witness'), '400 invalid-request #/side not-one-of'],
  ['by a link that has expired', () => later(7 * 24, () => api.anonymous.post('/v1/custody-links/confirm').send({ secret: events.oldLink })), '422 link-unusable'],
  ['by a link that was made up', () => api.anonymous.post('/v1/custody-links/confirm').send({ secret: `${'0'.repeat(32)}.${'A'.repeat(43)}` }), '422 link-unusable'],
  ['by a link for somebody who has no part in it', () => custodian.post(`/v1/custody-events/${events.byLink}/links`, { side: 'receiver', personId: books.pim }), '422 invalid-command #/personId not-of-this-side'],
];

const locks: Row[] = [
  ['on a machine that stands nowhere', () => lock({ machineId: books.inShop }), '422 invalid-command #/machineId not-placed'],
  ['before the machine came', () => lock({ fittedAt: '2025-01-31T12:00:00Z' }), '422 invalid-command #/machineId not-placed'],
  ['where another one is', () => lock({ place: 'cash-door' }), '422 invalid-command #/place place-taken'],
  ['where another one comes before this one is taken off', () => lock({ place: 'cash-door', fittedAt: at(-60) }), '422 invalid-command #/place place-taken'],
  ['of an access cut on the cash box', () => lock({ keyCodeId: books.access }), '422 invalid-command #/keyCodeId other-class'],
  ['of a cash-box cut on the play area', () => lock({ opens: 'play-area' }), '422 invalid-command #/keyCodeId other-class'],
  ['that is fitted tomorrow', () => lock({ fittedAt: '2026-04-01T12:00:01Z' }), '422 invalid-command #/fittedAt in-future'],
  ['taken off before it was fitted', () => owner.post(`/v1/machine-locks/${books.lock}/removal`, { removedAt: at(-1), reason: 'Worn out' }), '422 invalid-command #/removedAt not-after-fitting'],
];

const cases: Row[] = [
  ['closed with one lock still to change', () => custodian.post(`/v1/key-cases/${events.caseId}/close`, { reason: 'All done' }), '409 locks-not-changed'],
  ['ended while the key is missing', () => owner.post(`/v1/key-cases/${events.caseId}/end`, { reason: 'It will turn up' }), '409 wrong-state'],
  ['opened beside the one that there is', () => custodian.post('/v1/key-cases', { keyCodeId: books.cashBox, surelyHeldUntil: at(0), reason: 'A dealer sold copies' }), '422 invalid-command #/keyCodeId case-open'],
  ['opened in the future', () => custodian.post('/v1/key-cases', { keyCodeId: books.access, happenedAt: '2026-04-01T12:00:00Z', surelyHeldUntil: at(0), reason: 'A dealer sold copies' }), '422 invalid-command #/happenedAt in-the-future'],
  ['a lock changed to the cut that was lost', () => custodian.post(`/v1/key-cases/${events.caseId}/steps`, { kind: 'new-code', keyCodeId: books.cashBox, note: 'Same again' }), '422 invalid-command #/keyCodeId same-code'],
  ['a lock changed without a new cut', () => custodian.post(`/v1/key-cases/${events.caseId}/steps`, { kind: 'lock-changed', lockId: books.lock, note: 'Done' }), '422 invalid-command #/kind new-code-missing'],
];

describe.each<[about: string, rows: Row[]]>([
  ['a cash-box key that goes to a site', toASite],
  ['what cannot have happened to a key', impossible],
  ['what is not confirmed so', confirming],
  ['a lock', locks],
  ['the case of a lost key', cases],
])('%s', (_about, rows) => {
  test.each(rows)('%s', async (_title, send, refused) => {
    const leaves = await logSize();
    const answer = await send();
    const { code } = answer.body as { code: string };
    expect([answer.status, code, errorsOf(answer).join()].join(' ').trim()).toBe(refused);
    expect(await logSize()).toBe(leaves);
  });
});

const logSize = async (): Promise<number> => ((await owner.get('/v1/evidence/head').expect(200)).body as { size: number }).size;

test.each(['seen', 'found'] as const)('a cash-box key that is %s with somebody of a site is the truth, and is taken down as a breach', async (kind) => {
  const copy = await newCopy(books.cashBox);
  if (kind === 'found') await taken({ kind: 'reported-missing', keyCopyIds: [copy], happenedAt: at(0) });
  const event = (await record({ kind, keyCopyIds: [copy], to: person(books.barkeeper) }).expect(201)).body as CustodyEvent;
  expect(event.copies).toMatchObject([{ keyCopyId: copy, breachDueAt: new Date(Date.parse(event.recordedAt) + 24 * HOUR).toISOString() }]);
});

test('a clock that is put back makes nothing known before it was: what comes next is recorded after what was known', async () => {
  const copy = await newCopy(books.cashBox);
  const first = (await record(issue(copy, person(books.orla))).expect(201)).body as CustodyEvent;
  const second = (await later(-1, () => record(backToSafe(copy, person(books.orla))).expect(201))).body as CustodyEvent;
  expect(Date.parse(second.recordedAt)).toBe(Date.parse(first.recordedAt) + 1);
});
