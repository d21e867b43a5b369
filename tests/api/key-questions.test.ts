import { selectBreaches, selectMissing, selectOverdue } from '#backoffice/key-question/attention.sql';
import type { Moment } from '#backoffice/key-question/moment';
import { selectHeldBy } from '#backoffice/key-question/person-keys.sql';
import { hashPassword } from '#backoffice/identity/password';
import { openersOf } from '#backoffice/key-question/openers';
import type { CopyHistory, KeyAttention, KeyHolding, Openers, PersonKeys } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import { createUser, startTestApi, TEST_PASSWORD, type TestApi, type TestClient } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { bindToPerson, atPlace, heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { errorsOf, makeMachine, makePerson, makePlacement, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';

// One drawer of keys: a cash-box cut with three copies that is fitted at two sites, an access cut with two copies at one.
const day = (text: string) => `2026-${text}T08:00:00Z`;
let api: TestApi;
let owner: TestClient;
let keys: ReturnType<typeof keyBooks>;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;
let bar: Running;
let club: Running;
let people: { orla: Made; pim: Made; keeper: Made; barkeeper: Made; waiter: Made };
let safe: string;
let hook: string;
let hookName: string;
let cash: { id: string; code: string; class: 'cash-box' | 'access' };
let access: typeof cash;
let [k1, k2, k3, a1, a2]: KeyCopyOfTest[] = [];
let issued: string;

beforeAll(async () => {
  api = await startTestApi();
  await onConnection(api.db.urls.superuser, (client) => client.query('ALTER TABLE custody SET (autovacuum_enabled = false)')); // By counts of a dozen rows the planner takes whichever index has fewer pages; they would come at any time.
  owner = api.operator.as('owner');
  keys = keyBooks(api.operator);
  const barSite = { id: api.operator.siteId, name: '=The Bar' };
  [bar, club] = [await makeRunningSite(owner, { site: barSite }), await makeRunningSite(owner)];
  people = {
    orla: await makePerson(owner, { code: 'ORLA', name: 'Orla Venn' }),
    pim: await makePerson(owner, { code: 'PIM', name: 'Pim Aster' }),
    keeper: await makePerson(owner, { code: 'KEEPER', name: 'Kay Dorn' }),
    barkeeper: await makePerson(owner, { code: 'BAR', name: 'Bo Tarn', employedBy: 'site', siteId: bar.site.id }),
    waiter: await makePerson(owner, { code: 'WAITER', name: 'Wim Oss', employedBy: 'site', siteId: bar.site.id }),
  };
  [cash, access] = [await keys.cut({ class: 'cash-box', code: 'CASH', outsideCopies: true }), await keys.cut({ class: 'access', code: 'DOOR' })];
  for (const { machine } of [bar, club]) await keys.lock({ machineId: machine.id, cut: cash, opens: 'cash-box', fittedAt: day('01-02') });
  await keys.lock({ machineId: bar.machine.id, cut: access, opens: 'play-area', fittedAt: day('01-02') });
  safe = await keys.store('SAFE');
  hook = await keys.place({ siteId: bar.site.id, responsiblePersonId: people.barkeeper.id });
  hookName = (await api.operator.inBooks((tx) => tx.sql<{ code: string }>('SELECT code FROM key_place WHERE tenant_id = $1', [tx.tenantId]))).rows[0]?.code ?? '';
  await keys.custodian({ storeId: safe, personId: people.keeper.id, from: day('01-01') });
  await keys.placeUser({ placeId: hook, personId: people.waiter.id, from: day('02-01'), to: day('03-15') });
  const copies = [['K-1', cash], ['K-2', cash], ['K-3', cash], ['D-1', access], ['D-2', access]] as const;
  [k1, k2, k3, a1, a2] = await Promise.all(copies.map(([number, cut]) => keys.copy({ cut, storeId: safe, madeAt: day('01-02'), number })));
  issued = await keys.happen(one(k1), { says: 'issued', at: day('02-01'), from: inStore(safe), to: heldBy(people.orla.id), dueBackAt: day('03-20') });
  await keys.happen(one(k2), { says: 'issued', at: day('02-01'), from: inStore(safe), to: heldBy(people.pim.id), acknowledgeBy: day('04-05') });
  await keys.happen(one(k2), { says: 'returned', at: day('02-10'), from: heldBy(people.pim.id), to: inStore(safe) });
  await keys.happen(one(k3), { says: 'reported-missing', at: day('03-01') });
  await keys.happen(one(a1), { says: 'issued', at: day('02-01'), from: inStore(safe), to: atPlace(hook) });
});
afterAll(() => api?.close());

function one<Value>(value: Value | undefined): Value {
  if (value === undefined) throw new Error('not made yet');
  return value;
}
const holdings = async (client: TestClient, query: string) => ((await client.get(`/v1/key-holdings?${query}`).expect(200)).body as { items: KeyHolding[] }).items;
const who = async (query: string, client = owner) => (await holdings(client, query)).map(({ number, where }) => `${number} ${where.holder?.code ?? where.state}`);
const openers = async (machine: Made, query = '') => (await owner.get(`/v1/machines/${machine.id}/openers?${query}`).expect(200)).body as Openers;
const why = (answer: Openers) => answer.people.map(({ person, everyLock, reasons }) => [person.code, everyLock, reasons.map(({ via, number, from, to }) => [via, number, from.slice(5, 10), to?.slice(5, 10)].join(' '))]);

describe('who holds which key', () => {
  test('now, by person, by code, by store, by site', async () => {
    expect(await who('')).toEqual([`D-1 ${hookName}`, 'D-2 SAFE', 'K-1 ORLA', 'K-2 SAFE', 'K-3 missing']);
    expect(await who(`personId=${people.orla.id}`)).toEqual(['K-1 ORLA']);
    expect(await who(`keyStoreId=${safe}`)).toEqual(['D-2 SAFE', 'K-2 SAFE']);
    expect(await who(`keyCodeId=${cash.id}`)).toEqual(['K-1 ORLA', 'K-2 SAFE', 'K-3 missing']);
    expect(await who(`heldAtSiteId=${bar.site.id}`)).toEqual([`D-1 ${hookName}`]);
    expect(await who(`opensAtSiteId=${club.site.id}`)).toEqual(['K-1 ORLA', 'K-2 SAFE', 'K-3 missing']);
    expect(await who('class=access')).toHaveLength(2);
    expect((await holdings(owner, `keyCodeId=${cash.id}`))[0]).toMatchObject({ code: 'CASH', outsideCopies: true, machines: 2, sites: 2, where: { since: '2026-02-01T08:00:00.000Z', dueBackAt: '2026-03-20T08:00:00.000Z' } });
  });

  test('at any moment, by whichever way it is asked', async () => {
    const then = `at=${day('02-05')}`;
    expect(await who(then)).toEqual([`D-1 ${hookName}`, 'D-2 SAFE', 'K-1 ORLA', 'K-2 PIM', 'K-3 SAFE']);
    expect(await who(`${then}&personId=${people.pim.id}`)).toEqual(['K-2 PIM']);
    expect(await who(`personId=${people.pim.id}`)).toEqual([]);
    expect(await who(`${then}&keyStoreId=${safe}`)).toEqual(['D-2 SAFE', 'K-3 SAFE']);
    expect(await who(`at=${day('01-01')}`)).toEqual([]);
    // A stay ends where the next one begins.
    expect(await who(`at=${day('02-10')}&personId=${people.pim.id}`)).toEqual([]);
    expect(await who(`at=2026-02-10T07:59:59.999Z&personId=${people.pim.id}`)).toEqual(['K-2 PIM']);
  });

  test('pages follow each other by number, and a cursor of elsewhere is refused', async () => {
    const first = (await owner.get('/v1/key-holdings?limit=2').expect(200)).body as { items: KeyHolding[]; next: string };
    expect(await who(`limit=3&cursor=${first.next}`)).toEqual(['K-1 ORLA', 'K-2 SAFE', 'K-3 missing']);
    await owner.get('/v1/key-holdings?cursor=nonsense').expect(400);
  });

  test('as CSV, in which no cell becomes a formula', async () => {
    const { text, headers } = await owner.get('/v1/key-holdings/export').expect(200);
    expect(headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(text.split('\r\n')[3]).toMatch(/^K-1,CASH,cash-box,yes,held,person,ORLA,Orla Venn,,2026-02-01T08:00:00\.000Z,2026-03-20T08:00:00\.000Z,2,2$/);
    const keysOf = await owner.get(`/v1/people/${people.barkeeper.id}/keys/export`).expect(200);
    expect(keysOf.text).toContain(`,'=The Bar\r\n`);
  });
});

describe('what was believed', () => {
  test('a correction changes what is known of the past, and not what was believed then', async () => {
    const copy = await keys.copy({ cut: await keys.cut({ class: 'access', code: 'SPARE' }), storeId: safe, madeAt: day('01-02'), number: 'D-9' });
    const wrong = await keys.happen(copy, { says: 'issued', at: day('02-01'), recordedAt: day('02-02'), from: inStore(safe), to: heldBy(people.orla.id) });
    await keys.happen(copy, { says: 'issued', at: day('02-01'), recordedAt: day('03-05'), from: inStore(safe), to: heldBy(people.pim.id), corrects: wrong });
    const onThe3rd = async (known: string) => who(`at=${day('02-03')}&class=access&${known}`).then((all) => all.find((line) => line.startsWith('D-9')));
    expect(await onThe3rd('')).toBe('D-9 PIM');
    expect(await onThe3rd(`knownAt=${day('03-04')}`)).toBe('D-9 ORLA');
    expect(await onThe3rd(`knownAt=${day('02-01')}`)).toBe('D-9 SAFE');
    expect(await who(`at=${day('02-03')}&knownAt=${day('03-04')}&personId=${people.orla.id}`)).toEqual(['D-9 ORLA', 'K-1 ORLA']);
    expect(await who(`at=${day('02-03')}&personId=${people.orla.id}`)).toEqual(['K-1 ORLA']);
    const history = async (query = '') => ((await owner.get(`/v1/key-copies/${copy.id}/custody${query}`).expect(200)).body as CopyHistory).stays.map(({ says, holder, from, to }) => [says, holder?.code, from.slice(5, 10), to?.slice(5, 10)]);
    expect(await history()).toEqual([['made', 'SAFE', '01-02', '02-01'], ['issued', 'PIM', '02-01', undefined]]);
    expect(await history(`?knownAt=${day('03-04')}`)).toEqual([['made', 'SAFE', '01-02', '02-01'], ['issued', 'ORLA', '02-01', undefined]]);
    expect((await owner.get(`/v1/key-copies/${copy.id}/custody/export`).expect(200)).text.split('\r\n')[2]).toContain('D-9,SPARE,access,held,person,PIM,Pim Aster,,');
    await keys.happen(copy, { says: 'destroyed', at: day('03-06') });
    expect(await who('')).not.toContainEqual(expect.stringMatching(/^D-9/));
  });
});

describe('what a person has at hand', () => {
  const keysOf = async (person: Made, query = '') => (await owner.get(`/v1/people/${person.id}/keys?${query}`).expect(200)).body as PersonKeys;

  test('a holder: each copy, and every lock that it fits', async () => {
    const orla = await keysOf(people.orla);
    expect(orla.copies.map(({ number, via, code, outsideCopies }) => [number, via, code, outsideCopies])).toEqual([['K-1', 'holds', 'CASH', true]]);
    expect(orla.opens.map(({ machineId, siteId, opens, numbers }) => [machineId, siteId, opens, numbers])).toEqual(
      [bar, club].sort((left, right) => (String(left.site['code']) < String(right.site['code']) ? -1 : 1)).map(({ machine, site }) => [machine.id, site.id, 'cash-box', ['K-1']]),
    );
  });

  test('a user of a named place and a custodian, while they are', async () => {
    expect((await keysOf(people.waiter, `at=${day('03-01')}`)).copies.map(({ number, via }) => [number, via])).toEqual([['D-1', 'user']]);
    expect((await keysOf(people.waiter)).copies).toEqual([]);
    expect((await keysOf(people.barkeeper)).copies.map(({ number, via }) => [number, via])).toEqual([['D-1', 'responsible']]);
    expect(await keysOf(people.keeper)).toMatchObject({ copies: [], opens: [], stores: [{ store: { code: 'SAFE' }, copies: 2 }] });
  });

  test('everybody sees their own, and an account of nobody sees none', async () => {
    expect((await api.operator.as('collector').get('/v1/own-keys').expect(200)).body).toMatchObject({ person: null, copies: [], stores: [], opens: [] });
    const collector = await api.operator.newMember('collector');
    await api.operator.inBooks((tx) => tx.sql(`SELECT identity.change_member($1, 1, 'collector', $2, '{}', now())`, [collector.id, people.orla.id]));
    expect((await collector.get('/v1/own-keys').expect(200)).body).toMatchObject({ person: { code: 'ORLA' }, copies: [{ number: 'K-1' }], opens: [{ numbers: ['K-1'] }, { numbers: ['K-1'] }], handsOn: ['access'] });
    await collector.get(`/v1/people/${people.orla.id}/keys`).expect(403);
  });
});

describe('who could open', () => {
  test('now: holders, the custodian of the store; missing and outside copies are said', async () => {
    const answer = await openers(bar.machine);
    expect(why(answer)).toEqual([['KEEPER', true, ['custodian K-2 02-10 ']], ['ORLA', true, ['holds K-1 02-01 ']]]);
    expect(answer).toMatchObject({ outsideCopies: true, sites: [{ siteId: bar.site.id }], locks: [{ code: 'CASH', opens: 'cash-box', removedAt: null }] });
    expect(answer.loose.map(({ number, holder, from }) => [number, holder, from])).toEqual([['K-3', null, '2026-03-01T08:00:00.000Z']]);
  });

  test('then, and at any time of an interval, each with the time for which it was so', async () => {
    expect(why(await openers(bar.machine, `at=${day('02-05')}`))).toEqual([
      ['KEEPER', true, ['custodian K-3 01-02 03-01']],
      ['ORLA', true, ['holds K-1 02-01 ']],
      ['PIM', true, ['holds K-2 02-01 02-10']],
    ]);
    expect(why(await openers(bar.machine, `from=${day('02-08')}&before=${day('02-12')}`))).toEqual([
      ['KEEPER', true, ['custodian K-2 02-10 ', 'custodian K-3 01-02 03-01']],
      ['ORLA', true, ['holds K-1 02-01 ']],
      ['PIM', true, ['holds K-2 02-01 02-10']],
    ]);
    // An interval is without its end.
    expect(why(await openers(bar.machine, `from=${day('02-10')}&before=${day('02-12')}`)).map(([code]) => code)).toEqual(['KEEPER', 'ORLA']);
  });

  test('the play area: everybody on the list of the named place', async () => {
    expect(why(await openers(bar.machine, `opens=play-area&at=${day('03-01')}`))).toEqual([
      ['BAR', true, ['responsible D-1 02-01 ']],
      ['KEEPER', true, ['custodian D-2 01-02 ']],
      ['WAITER', true, ['user D-1 02-01 03-15']],
    ]);
    expect(why(await openers(bar.machine, 'opens=play-area')).map(([code]) => code)).toEqual(['BAR', 'KEEPER']);
    expect(await openers(club.machine, 'opens=play-area')).toMatchObject({ locks: [], people: [], loose: [] });
  });

  test('a lock that was changed, a machine that moved, and a second lock on one box', async () => {
    const machine = await makeMachine(owner);
    await makePlacement(owner, { machineId: machine.id, siteId: club.site.id, placedOn: '2026-01-01', removedOn: '2026-02-01' });
    await makePlacement(owner, { machineId: machine.id, siteId: bar.site.id, placedOn: '2026-02-01' });
    const [old, second] = [await keys.cut({ class: 'cash-box' }), await keys.cut({ class: 'cash-box' })];
    await keys.lock({ machineId: machine.id, cut: old, opens: 'everything', fittedAt: day('01-02') });
    await keys.lock({ machineId: machine.id, cut: second, opens: 'cash-box', fittedAt: day('02-01') });
    const van = await keys.store();
    const [o1, s1] = [await keys.copy({ cut: old, storeId: van, madeAt: day('01-02') }), await keys.copy({ cut: second, storeId: van, madeAt: day('01-02') })];
    await keys.happen(o1, { says: 'issued', at: day('01-05'), from: inStore(van), to: heldBy(people.pim.id) });
    await keys.happen(s1, { says: 'issued', at: day('02-03'), from: inStore(van), to: heldBy(people.orla.id) });
    expect(await openers(machine, `at=${day('01-10')}`)).toMatchObject({ sites: [{ siteId: club.site.id }], people: [{ person: { code: 'PIM' }, everyLock: true }], loose: [] });
    const now = await openers(machine);
    expect(now.sites.map(({ siteId }) => siteId)).toEqual([bar.site.id]);
    expect(now.people.map(({ person, everyLock }) => [person.code, everyLock])).toEqual([['ORLA', false], ['PIM', false]]);
    const both = await openers(machine, `from=${day('01-10')}`);
    expect(both.sites).toHaveLength(2);
    // The store had no custodian: whoever came to it could take the second key.
    expect(both.loose.map(({ number, holder, to }) => [number, holder?.kind, to?.slice(5, 10)])).toEqual([[s1.number, 'store', '02-03']]);
  });

  test('as CSV with a line for each reason', async () => {
    const { text } = await owner.get(`/v1/machines/${bar.machine.id}/openers/export`).expect(200);
    const tag = String(bar.machine['tag']);
    expect(text.trim().split('\r\n').slice(1)).toEqual([
      `key-at-hand,${tag},cash-box,KEEPER,Kay Dorn,operator,,yes,custodian,SAFE,Office safe,K-2,CASH,cash-box,2026-02-10T08:00:00.000Z,`,
      `key-at-hand,${tag},cash-box,ORLA,Orla Venn,operator,,yes,holds,,,K-1,CASH,cash-box,2026-02-01T08:00:00.000Z,`,
      `missing,${tag},cash-box,,,,,,,,,K-3,CASH,cash-box,2026-03-01T08:00:00.000Z,`,
      `outside-copies,${tag},cash-box,,,,,,,,,,CASH,cash-box,2026-01-02T08:00:00.000Z,`,
    ]);
  });

  test('what is refused names its field', async () => {
    const ask = (query: string) => owner.get(`/v1/machines/${bar.machine.id}/openers?${query}`).expect(400).then(errorsOf);
    expect(await ask(`at=${day('02-01')}&from=${day('02-01')}`)).toEqual(['at one-of-two']);
    expect(await ask(`before=${day('02-01')}`)).toEqual(['from missing']);
    expect(await ask(`from=${day('02-02')}&before=${day('02-01')}`)).toEqual(['before before-start']);
    expect(await ask('at=yesterday')).toEqual(['at wrong-format']);
  });

  test('the number of statements does not grow with keys and people', async () => {
    const statements = async (machineId: string): Promise<number> => {
      let count = 0;
      await api.operator.inBooks(async (tx) => {
        const counting: TenantTransaction = { ...tx, sql: (text, values) => ((count += 1), tx.sql(text, values)) };
        const now = api.clock.now();
        return openersOf(counting, { machineId, opens: 'cash-box', from: now, before: new Date(now.getTime() + 1), knownAt: now });
      });
      return count;
    };
    const bare = await makeMachine(owner);
    expect(await statements(bar.machine.id)).toBe(await statements(bare.id));
  });
});

/** How the database would answer under row security, were there too many rows to read them all. */
const plansOf = (ask: (tx: TenantTransaction) => Promise<unknown>): Promise<string> =>
  api.operator.inBooks(async (tx) => {
    await tx.sql(`SELECT set_config('enable_seqscan', 'off', true), set_config('plan_cache_mode', 'force_generic_plan', true)`, []);
    let plans = '';
    await ask({
      ...tx,
      sql: async (text, values) => {
        plans += (await tx.sql<{ 'QUERY PLAN': string }>(`EXPLAIN ${text}`, values)).rows.map((row) => row['QUERY PLAN']).join('\n');
        return tx.sql(text, values);
      },
    });
    return plans;
  });

const indexesIn = (plans: string): string[] => [...plans.matchAll(/ (?:Index Scan using|Bitmap Index Scan on) (\w+)/g)].map(([, name = '']) => name);

describe('what is to be looked after', () => {
  const attention = async (query = '') => (await owner.get(`/v1/key-attention?${query}`).expect(200)).body as KeyAttention;

  test('missing, overdue and unconfirmed copies', async () => {
    const now = await attention();
    expect(now.missing.map(({ number, since, lastHolder }) => [number, since, lastHolder?.code])).toEqual([['K-3', '2026-03-01T08:00:00.000Z', 'SAFE']]);
    expect(now.overdue.map(({ number, holder, dueBackAt }) => [number, holder.code, dueBackAt])).toEqual([['K-1', 'ORLA', '2026-03-20T08:00:00.000Z']]);
    const given = now.unacknowledged.filter(({ numbers }) => numbers.includes('K-1') || numbers.includes('K-2'));
    expect(given.map(({ kind, numbers, from, to, late }) => [kind, numbers, from?.code, to?.code, late])).toEqual([
      ['issued', ['K-1'], 'SAFE', 'ORLA', true],
      ['returned', ['K-2'], 'PIM', 'SAFE', true],
      ['issued', ['K-2'], 'SAFE', 'PIM', false],
    ]);
    // Told from all that was ever given, the open ones are the same.
    expect((await attention(`knownAt=${api.clock.now().toISOString()}`)).unacknowledged).toEqual(now.unacknowledged);
    expect((await attention(`at=${day('03-19')}`)).overdue).toEqual([]);
    expect((await attention(`at=${day('02-20')}`)).missing).toEqual([]);
    expect((await attention(`at=${day('03-02')}`)).missing).toHaveLength(1);
  });

  // The day in which to put it right: common practice, no source.
  test('a cash-box key that turned up at a site, until it is taken back', async () => {
    const found = await keys.copy({ cut: cash, storeId: safe, madeAt: day('01-02'), number: 'K-8' });
    await keys.happen(found, { says: 'seen', at: day('03-10'), to: heldBy(people.waiter.id) });
    const at = async (query: string) => (await attention(query)).breaches.map(({ number, holder, putRightBy, late }) => [number, holder.code, putRightBy, late]);
    expect(await at(`at=${day('03-09')}`)).toEqual([]);
    expect(await at(`at=${day('03-10')}`)).toEqual([['K-8', 'WAITER', '2026-03-11T08:00:00.000Z', false]]);
    expect(await at('')).toEqual([['K-8', 'WAITER', '2026-03-11T08:00:00.000Z', true]]);
    expect((await owner.get('/v1/key-attention/export').expect(200)).text).toContain('breach,K-8,CASH,cash-box,,,WAITER,Wim Oss,2026-03-10T08:00:00.000Z,2026-03-11T08:00:00.000Z,yes,,,,');
    await keys.happen(found, { says: 'returned', at: day('03-12'), from: heldBy(people.waiter.id), to: inStore(safe) });
    expect(await at('')).toEqual([]);
    await keys.happen(found, { says: 'destroyed', at: day('03-13') });
  });

  test('a cash-box key at a site is a breach whenever no exception runs, however it came and whether or not it was seen before', async () => {
    const [given, seen] = [await keys.copy({ cut: cash, storeId: safe, madeAt: day('01-02'), number: 'K-6' }), await keys.copy({ cut: cash, storeId: safe, madeAt: day('01-02'), number: 'K-7' })];
    const barman = await makePerson(owner, { employedBy: 'site', siteId: bar.site.id });
    const allow = (from: string, until: string | null, endRecordedAt = until) => api.operator.inBooks((tx) => tx.sql(`INSERT INTO key_exception (tenant_id, id, person_id, label, reason, started_at, ended_at, end_recorded_at, review_on, granted_by, granted_at) VALUES ($1, uuidv7(), $2, 'Both roles', 'Test', $3, $4, $5, '2026-12-31', 'system:test', $3)`, [tx.tenantId, barman.id, from, until, endRecordedAt]));
    await allow(day('02-01'), day('03-05'), day('03-07'));
    await keys.happen(given, { says: 'issued', at: day('02-02'), from: inStore(safe), to: heldBy(barman.id) });
    for (const on of ['02-03', '03-10']) await keys.happen(seen, { says: 'seen', at: day(on), to: heldBy(barman.id) });
    const at = async (moment: string) => (await attention(`at=${moment}`)).breaches.map(({ number, since, putRightBy, late }) => [number, since.slice(5, 10), putRightBy.slice(5, 10), late]);
    expect([await at(day('03-04')), await at('2026-03-05T09:00:00Z')]).toEqual([[], [['K-6', '02-02', '03-06', false], ['K-7', '02-03', '03-06', false]]]);
    expect(await at(day('03-12'))).toEqual([['K-6', '02-02', '03-06', true], ['K-7', '02-03', '03-06', true]]);
    // Before its end was recorded nobody knew of a breach; what was known then stays what was known.
    for (const [known, breaches] of [['03-06', 0], ['03-08', 2]] as const) expect((await attention(`at=${day('03-06')}&knownAt=${day(known)}`)).breaches).toHaveLength(breaches);
    // One that is granted later takes both off the list for as long as it runs.
    await allow(day('03-15'), null);
    expect([(await at(day('03-14'))).length, await at(day('03-16')), (await attention()).breaches]).toEqual([2, [], []]);
    for (const copy of [given, seen]) await keys.happen(copy, { says: 'destroyed', at: day('03-18') });
  });

  test('what the receiver confirmed is confirmed from then on', async () => {
    await api.operator.inBooks((tx) =>
      tx.sql(`INSERT INTO custody_acknowledgement (tenant_id, event_id, side, person_id, how, acknowledged_at) VALUES ($1, $2, 'receiver', $3, 'signed-in', $4)`, [tx.tenantId, issued, people.orla.id, day('02-02')]),
    );
    const isOpen = async (query: string) => (await attention(query)).unacknowledged.some(({ eventId }) => eventId === issued);
    expect([await isOpen(''), await isOpen(`at=${day('02-01')}`), await isOpen(`knownAt=${day('02-01')}`)]).toEqual([false, true, true]);
  });

  test('sites whose staff can open no machine, or not all', async () => {
    const at = async (query = '') => (await attention(query)).withoutAccessKey.map(({ siteId, none, machines }) => [siteId, none, machines.map(({ hasAccessLock }) => hasAccessLock)]);
    const second = await makeMachine(owner);
    const [single, empty] = [await makeSite(owner), await makeSite(owner)];
    await makePlacement(owner, { machineId: second.id, siteId: single.id });
    await keys.lock({ machineId: second.id, cut: access, opens: 'play-area', fittedAt: day('01-02') });
    // The cut of the bar fits here, too, but nobody of this site has a copy.
    expect(await at()).toContainEqual([single.id, true, [true]]);
    expect(await at()).toContainEqual([club.site.id, true, [false]]);
    expect((await at()).map(([siteId]) => siteId)).not.toContain(empty.id);
    // At the bar the staff can open the machine with the access lock; the other one has none.
    expect(await at()).toContainEqual([bar.site.id, false, [false]]);
    expect(await at(`at=${day('01-15')}`)).toContainEqual([bar.site.id, true, [true]]);
    const third = await makePerson(owner, { employedBy: 'site', siteId: single.id });
    await keys.happen(one(a2), { says: 'issued', at: day('03-02'), from: inStore(safe), to: heldBy(third.id) });
    expect((await at()).map(([siteId]) => siteId)).not.toContain(single.id);
  });

  test('what is over is in no index that is read for it, however much of it there is', async () => {
    const [at, knownAt] = [new Date(day('03-20')), new Date(day('03-25'))];
    const moments: { readonly [when in 'now' | 'over_time']: Moment } = { now: { at, knownAt: at, asOf: 'now' }, over_time: { at, knownAt } };
    const lists = { missing: selectMissing, lent: selectOverdue, breach: selectBreaches };
    for (const [when, moment] of Object.entries(moments)) {
      for (const [what, select] of Object.entries(lists)) {
        expect(indexesIn(await plansOf((tx) => select(tx, moment)))).toContain(when === 'now' && what === 'missing' ? 'custody_missing' : `custody_${what}_${when}`);
      }
    }
    expect(indexesIn(await plansOf((tx) => selectHeldBy(tx, { ...moments.over_time, holderIds: [people.orla.id] })))).toEqual(expect.arrayContaining(['custody_of_holder_over_time', 'custody_of_holder_once_known']));
  });

  test('as CSV', async () => {
    const lines = (await owner.get('/v1/key-attention/export').expect(200)).text.split('\r\n');
    expect(lines).toContain('missing,K-3,CASH,cash-box,SAFE,Office safe,,,2026-03-01T08:00:00.000Z,,,,,,,,');
    expect(lines).toContain('overdue,K-1,CASH,cash-box,,,ORLA,Orla Venn,2026-02-01T08:00:00.000Z,2026-03-20T08:00:00.000Z,,,,,,,');
  });
});

describe('a site manager', () => {
  test('meets the access keys with their own staff and what these open there, and nothing else', async () => {
    const manager = api.operator.as('site-manager');
    await keys.lock({ machineId: club.machine.id, cut: access, opens: 'play-area', fittedAt: day('03-20') });
    const seen = await holdings(manager, '');
    expect(seen.map(({ number, machines, sites }) => [number, machines, sites])).toEqual([['D-1', 1, 1]]);
    expect(await who('class=cash-box', manager)).toEqual([]);
    expect(await who(`keyCodeId=${cash.id}`, manager)).toEqual([]);
    expect(await who(`personId=${people.orla.id}`, manager)).toEqual([]);
    expect(await who(`heldAtSiteId=${club.site.id}`, manager)).toEqual([]);
    expect(await who(`opensAtSiteId=${club.site.id}`, manager)).toEqual([]);
    expect((await manager.get('/v1/key-holdings/export').expect(200)).text.split('\r\n').map((line) => line.split(',')[0])).toEqual(['copy', 'D-1', '']);
    await manager.get(`/v1/machines/${bar.machine.id}/openers`).expect(403);
    await manager.get('/v1/key-attention').expect(403);
    const elsewhere = await createUser({ ...api, passwordHash: await hashPassword(TEST_PASSWORD) }, { tenantId: api.operator.tenantId, role: 'site-manager', siteIds: [club.site.id] });
    expect(await who('', elsewhere)).toEqual([]);
  });
});

test('another operator meets none of it', async () => {
  const stranger = api.other.as('owner');
  await stranger.get(`/v1/machines/${bar.machine.id}/openers`).expect(404);
  await stranger.get(`/v1/people/${people.orla.id}/keys`).expect(404);
  await stranger.get(`/v1/key-copies/${one(k1).id}/custody`).expect(404);
  expect(await who('', stranger)).toEqual([]);
  expect(await who(`personId=${people.orla.id}`, stranger)).toEqual([]);
});

test('a site manager does not learn at which other sites a key of the same cut opens', async () => {
  const manager = api.operator.as('site-manager');
  const [own, other] = [await makeRunningSite(owner), await makeRunningSite(owner)];
  const bartender = await makePerson(owner, { employedBy: 'site', siteId: own.site.id });
  await bindToPerson(owner, { accountId: manager.id, role: 'site-manager', personId: bartender.id, siteIds: [own.site.id] });
  const cut = await keys.cut({ class: 'access', code: 'ALIKE' });
  for (const { machine } of [own, other]) await keys.lock({ machineId: machine.id, cut, opens: 'play-area', fittedAt: day('01-02') });
  const copy = await keys.copy({ cut, storeId: safe, madeAt: day('01-02'), number: 'D-8' });
  await keys.happen(copy, { says: 'issued', at: day('02-01'), from: inStore(safe), to: heldBy(bartender.id) });
  const seen = (await manager.get('/v1/own-keys').expect(200)).body as PersonKeys;
  expect([seen.copies.map(({ number }) => number), seen.opens.map(({ siteId }) => siteId)]).toEqual([['D-8'], [own.site.id]]);
  expect(((await owner.get(`/v1/people/${bartender.id}/keys`).expect(200)).body as PersonKeys).opens).toHaveLength(2);
  await keys.happen(copy, { says: 'destroyed', at: day('03-06') });
});
