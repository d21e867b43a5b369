/** The custody of keys against published rules. Rules for casinos and materials are benchmarks here, not law for these machines. */
import type { CustodyEvent, KeyCopy, MadeKeyCopies } from '#contracts/custody';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { keyBooks } from '#tests/support/keys';
import { errorsOf, makeMachine, makePerson, makeSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
let custodian: TestClient;
let safe: string;
let collector: string;
let barkeeper: string;

beforeAll(async () => {
  api = await startTestApi();
  custodian = api.operator.as('custodian');
  const owner = api.operator.as('owner');
  safe = await keyBooks(api.operator).store();
  collector = (await makePerson(owner, { name: 'Orla Venn' })).id;
  barkeeper = (await makePerson(owner, { employedBy: 'site', siteId: (await makeSite(owner)).id })).id;
});
afterAll(() => api?.close());

async function make(keyCodeId: string, count: number, more: object = {}): Promise<string[]> {
  api.clock.advance({ milliseconds: 1000 });
  const numbers = Array.from({ length: count }, () => nextCode('K'));
  return ((await custodian.post('/v1/key-copies', { keyCodeId, numbers, storeId: safe, reason: 'New lock', ...more }).expect(201)).body as MadeKeyCopies).items.map(({ id }) => id);
}
async function record(body: object): Promise<CustodyEvent> {
  api.clock.advance({ milliseconds: 1000 });
  return (await custodian.post('/v1/custody-events', { reason: 'Route of the week', ...body }).expect(201)).body as CustodyEvent;
}

// 25 CFR 543.24(d)(8)(iv): the inventory is reconciled to the keys made, issued and destroyed. Made 6 and duplicated 1, less
// destroyed 2, is 5; 3 in the store and 1 issued leave one, which has to be somewhere by name.
test('made 6, duplicated 1, destroyed 2: of the five that are left, the one neither stored nor issued is missing by name', async () => {
  const cut = await keyBooks(api.operator).cut({ class: 'cash-box' });
  const copies = await make(cut.id, 6);
  const [duplicate = ''] = await make(cut.id, 1, { duplicatedFromId: copies[0] });
  await record({ kind: 'destroyed', keyCopyIds: [copies[4], copies[5]] });
  await record({ kind: 'issued', from: { kind: 'store', id: safe }, to: { kind: 'person', id: collector }, keyCopyIds: [copies[0]] });
  await record({ kind: 'reported-missing', keyCopyIds: [duplicate] });
  const { items } = (await custodian.get(`/v1/key-copies?keyCodeId=${cut.id}`).expect(200)).body as { items: KeyCopy[] };
  const having = (state: string, kind: string | null = null): string[] => items.filter(({ where }) => where?.state === state && (where.holder?.kind ?? null) === kind).map(({ id }) => id);
  expect(items).toHaveLength(6 + 1);
  expect(having('destroyed')).toHaveLength(2);
  expect([having('held', 'store').length, having('held', 'person').length]).toEqual([3, 1]);
  expect(having('missing')).toEqual([duplicate]);
});

// K.A.R. 112-104-37: the register of keys holds date, issuer, receiver, times out and in, who returned and who accepted.
test('the register of a key names date, issuer, receiver, times out and in, returner and acceptor', async () => {
  const cut = await keyBooks(api.operator).cut({ class: 'cash-box' });
  const [copy] = await make(cut.id, 1, { happenedAt: '2026-03-01T08:00:00Z' });
  await record({ kind: 'issued', from: { kind: 'store', id: safe }, to: { kind: 'person', id: collector }, keyCopyIds: [copy], happenedAt: '2026-03-02T08:00:00Z' });
  await record({ kind: 'returned', from: { kind: 'person', id: collector }, to: { kind: 'store', id: safe }, keyCopyIds: [copy], happenedAt: '2026-03-02T17:30:00Z' });
  const { history } = (await custodian.get(`/v1/key-copies/${copy}`).expect(200)).body as { history: CustodyEvent[] };
  expect(history.slice(1).map(({ says, happenedAt, from, to }) => [says, happenedAt, from?.name, to?.name])).toEqual([
    ['issued', '2026-03-02T08:00:00.000Z', 'Office safe', 'Orla Venn'],
    ['returned', '2026-03-02T17:30:00.000Z', 'Orla Venn', 'Office safe'],
  ]);
});

// K.A.R. 112-104-34(b): within 24 hours of the loss of a critical key the locks it fits are changed. Here: a cash-box key in
// the hands of a site counts as lost to the operator.
test('a cash-box key found with somebody of a site is put right within 24 hours', async () => {
  const cut = await keyBooks(api.operator).cut({ class: 'cash-box' });
  const [copy] = await make(cut.id, 1);
  const seen = await record({ kind: 'seen', to: { kind: 'person', id: barkeeper }, keyCopyIds: [copy] });
  expect(Date.parse(seen.copies[0]?.breachDueAt ?? '') - Date.parse(seen.recordedAt)).toBe(24 * 60 * 60 * 1000);
});

// 25 CFR 542.21(g)(5): the compartment with the cash is keyed differently from any other. What opens it therefore goes to
// nobody who is given the play area.
test('no cut opens a cash box and a play area, and what opens the cash box is not given to whoever opens the play area', async () => {
  const books = keyBooks(api.operator);
  const [cashBox, access] = [await books.cut({ class: 'cash-box' }), await books.cut({ class: 'access' })];
  const machineId = (await makeMachine(api.operator.as('owner'))).id;
  await books.lock({ machineId, cut: cashBox, opens: 'cash-box', fittedAt: '2026-01-02T00:00:00Z' });
  await expect(books.lock({ machineId, cut: cashBox, opens: 'play-area', fittedAt: '2026-01-02T00:00:00Z' })).rejects.toThrow('machine_lock_class_by_what_it_opens');
  await expect(books.lock({ machineId, cut: access, opens: 'everything', fittedAt: '2026-01-02T00:00:00Z' })).rejects.toThrow('machine_lock_class_by_what_it_opens');
  await books.lock({ machineId, cut: access, opens: 'play-area', fittedAt: '2026-01-02T00:00:00Z' });
  const [opensCash] = await make(cashBox.id, 1);
  const [opensPlay] = await make(access.id, 1);
  api.clock.advance({ milliseconds: 1000 });
  const toTheBar = { kind: 'issued', from: { kind: 'store', id: safe }, to: { kind: 'person', id: barkeeper }, reason: 'For the bar' };
  await custodian.post('/v1/custody-events', { ...toTheBar, keyCopyIds: [opensPlay] }).expect(201);
  expect(errorsOf(await custodian.post('/v1/custody-events', { ...toTheBar, keyCopyIds: [opensCash] }).expect(422))).toEqual(['#/to cash-box-key-to-site']);
});
