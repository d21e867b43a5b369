import { randomUUID } from 'node:crypto';
import { escapeIdentifier } from 'pg';
import { roleName } from '#database/roles';
import { startTestApi, type TestApi } from '#tests/support/api';
import { asTenant, createTestDatabase, onConnection } from '#tests/support/database';
import { keyBooks } from '#tests/support/keys';
import { makePerson } from '#tests/support/set-up';

let api: TestApi;
let ids: Readonly<Record<'site' | 'area' | 'machine' | 'placement' | 'party' | 'agreement', string>>;

beforeAll(async () => {
  const db = await createTestDatabase({ poolSize: 8 });
  // Shorter than reading a large file takes: the server ends a transaction that says nothing for so long.
  await onConnection(db.urls.superuser, (client) => client.query(`ALTER ROLE ${roleName('app')} IN DATABASE ${escapeIdentifier(db.name)} SET idle_in_transaction_session_timeout = '5s'`));
  api = await startTestApi({ db });
  ids = { site: api.operator.siteId, area: randomUUID(), machine: randomUUID(), placement: randomUUID(), party: randomUUID(), agreement: randomUUID() };
  const { tenantId } = api.operator;
  await asTenant(api.db, tenantId, async (tx) => {
    const now = new Date('2026-01-01T00:00:00Z');
    await tx.sql(`INSERT INTO tax_area VALUES ($1, $2, 'AREA', 'Area', 'US', 1, $3)`, [tenantId, ids.area, now]);
    await tx.sql(
      `INSERT INTO site (tenant_id, id, code, name, time_zone, currency, tax_area_id, opened_on, created_at)
       VALUES ($1, $2, 'S-1', 'Copper Taproom', 'America/Chicago', 'USD', $3, '2026-01-01', $4)`,
      [tenantId, ids.site, ids.area, now],
    );
    await tx.sql(`INSERT INTO party (tenant_id, id, code, name, locale, created_at) VALUES ($1, $2, 'P-1', 'Tallman & Quist', 'en-US', $3)`, [tenantId, ids.party, now]);
    await tx.sql(`INSERT INTO agreement (tenant_id, id, code, site_id, party_id, started_on, created_at) VALUES ($1, $2, 'A-1', $3, $4, '2026-01-01', $5)`, [tenantId, ids.agreement, ids.site, ids.party, now]);
    await tx.sql(`INSERT INTO agreement_version (tenant_id, id, agreement_id, effective_from, terms, recorded_at) VALUES ($1, $2, $3, '2026-01-01', '{"cycle":{"kind":"month"}}', $4)`, [tenantId, randomUUID(), ids.agreement, now]);
    await tx.sql(`INSERT INTO person (tenant_id, id, code, name, employed_by, started_on, created_at) VALUES ($1, $2, 'C-1', 'Avery Ferrow', 'operator', '2026-01-01', $3)`, [tenantId, randomUUID(), now]);
    for (const [tag, machine, placement] of [['M-1', ids.machine, ids.placement], ['M-2', randomUUID(), randomUUID()]] as const) {
      await tx.sql(`INSERT INTO machine (tenant_id, id, tag, kind, acquired_on, created_at) VALUES ($1, $2, $3, 'pinball', '2025-01-01', $4)`, [tenantId, machine, tag, now]);
      await tx.sql(`INSERT INTO placement (tenant_id, id, machine_id, site_id, placed_on, created_at) VALUES ($1, $2, $3, $4, '2026-01-02', $5)`, [tenantId, placement, machine, ids.site, now]);
    }
  });
});
afterAll(() => api?.close());

const head = 'site,collected_on,collected_at,machine,coin,note,refund,handed_to_site';

function upload(text: string | Buffer, query = '') {
  return api.operator.as('bookkeeper').send('POST', `/v1/imports${query}`).set('Content-Type', 'text/csv').send(text);
}

async function countOf(table: string): Promise<number> {
  return asTenant(api.db, api.operator.tenantId, async (tx) => (await tx.sql<{ count: number }>(`SELECT count(*)::int AS count FROM ${table}`)).rows[0]?.count ?? -1);
}

test('a good file waits, is accepted, and then is in the books as accepted collections', async () => {
  const csv = `${head}\nS-1,2026-03-02,10:00,M-1,12.50,20,1.00,\nS-1,2026-03-02,10:00,M-2,5,,,\nS-1,2026-03-09,10:00,M-1,8.25,0,,\n`;
  const staged = await upload(csv, '?fileName=march.csv').expect(201);
  expect(staged.body).toMatchObject({ state: 'staged', rowCount: 3, errorCount: 0, delimiter: ',', fileName: 'march.csv', sameAs: null });
  expect(await countOf('collection')).toBe(0);

  const accepted = await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/accept`).expect(200);
  expect(accepted.body).toMatchObject({ state: 'accepted' });
  expect(await countOf('collection')).toBe(2);
  const rows = await asTenant(api.db, api.operator.tenantId, (tx) =>
    tx.sql(`SELECT c.local_date, c.state, c.happened_at, sum(b.coin_minor)::bigint AS coin, sum(b.note_minor)::bigint AS note
              FROM collection c JOIN box_count b ON b.collection_id = c.id GROUP BY c.tenant_id, c.id ORDER BY c.local_date`),
  );
  expect(rows.rows).toEqual([
    { local_date: '2026-03-02', state: 'accepted', happened_at: new Date('2026-03-02T16:00:00Z'), coin: 1750n, note: 2000n },
    { local_date: '2026-03-09', state: 'accepted', happened_at: new Date('2026-03-09T15:00:00Z'), coin: 825n, note: 0n },
  ]);

  const again = await upload(csv).expect(201);
  expect(again.body).toMatchObject({ state: 'refused', errorCounts: { 'visit-known': 3 }, sameAs: { id: staged.body.id, state: 'accepted' } });
  await api.operator.as('bookkeeper').post(`/v1/imports/${again.body.id}/accept`).expect(409);
  await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/accept`).expect(409);
  await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/discard`).expect(409);
});

test('two people who accept the same bytes at once enter them once', async () => {
  const csv = `${head}\nS-1,2026-03-10,10:00,M-1,1,,,\n`;
  const [first, second] = [await upload(csv).expect(201), await upload(csv).expect(201)];
  expect(second.body.sameAs).toMatchObject({ id: first.body.id, state: 'staged' });
  const before = await countOf('collection');
  const answers = await Promise.all([first, second].map((file) => api.operator.as('owner').post(`/v1/imports/${file.body.id}/accept`)));
  expect(answers.map((answer) => answer.status).sort()).toEqual([200, 409]);
  expect(await countOf('collection')).toBe(before + 1);
});

test('every kind of error is named with line, column, reason and value, and nothing is entered', async () => {
  const csv = [
    head,
    'S-1,2026-03-03,10:00,M-1,-1,,,',
    'S-9,2026-03-03,10:00,M-1,1,,,',
    'S-1,2026-03-03,10:00,M-9,1,,,',
    'S-1,2026-04-01,10:00,M-1,1.005,,,',
    'S-1,2026-01-01,10:00,M-1,1,,,',
  ].join('\n');
  const file = await upload(csv).expect(201);
  expect(file.body).toMatchObject({ state: 'refused', rowCount: 5, errorCount: 6 });
  const { body } = await api.operator.as('bookkeeper').get(`/v1/imports/${file.body.id}/errors`).expect(200);
  expect(body.items.map((e: { lineNumber: number; column: string; code: string; value: string }) => `${e.lineNumber} ${e.column} ${e.code} ${e.value}`)).toEqual([
    '2 coin negative-amount -1',
    '3 site unknown-site S-9',
    '4 machine unknown-machine M-9',
    '5 coin too-many-digits 1.005',
    '5 collected_on date-in-the-future 2026-04-01',
    '6 machine not-placed-here M-1',
  ]);
});

test('what only several lines together show is named as well', async () => {
  const csv = [
    `${head},accounting_date,collector`,
    'S-1,2026-03-04,10:00,M-1,1,,,5.00,,C-1',
    'S-1,2026-03-04,10:00,M-1,2,,,,,C-1',
    'S-1,2026-03-04,10:00,M-2,2,,,,2026-02-28,C-1',
    'S-1,2026-03-05,10:00,M-2,2,,,,2025-12-31,',
    'S-1,2026-03-05,10:00,M-1,2,,,,2025-12-31,C-1',
    'S-1,2026-03-06,10:00,M-1,2,,,3.00,,C-1',
    'S-1,2026-03-06,10:00,M-2,1,,,0.01,,C-1',
  ].join('\n');
  const file = await upload(csv).expect(201);
  expect(file.body.errorCounts).toEqual({ 'more-than-counted': 1, 'machine-twice': 1, 'visit-booked-to-two-dates': 1, 'visit-by-two-collectors': 1, 'no-agreement': 2 });
});

test('semicolons, decimal comma and a byte order mark work by setting', async () => {
  const csv = `\uFEFFsite;collected_on;machine;coin\nS-1;2026-03-05;M-1;1,50\n`;
  expect((await upload(csv).expect(201)).body.errorCounts).toEqual({ 'not-an-amount': 1 });
  expect((await upload(csv, '?decimalMark=,').expect(201)).body).toMatchObject({ state: 'staged', delimiter: ';', decimalMark: ',' });
});

test.each([
  ['an empty file', '', 'The file is empty'],
  ['another encoding', Buffer.from([0x73, 0x69, 0xfc]), 'UTF-8'],
  ['no lines', `${head}\n`, 'no line below'],
  ['wrong names', 'a,b\n1,2\n', 'names of the columns'],
])('%s is refused in words', async (_name, content, words) => {
  const answer = await upload(content as string).expect(422);
  expect(answer.body.code).toBe('file-not-readable');
  expect(answer.body.detail).toContain(words);
});

test('a line that no longer fits when the file is accepted stops the whole file', async () => {
  const staged = await upload(`${head}\nS-1,2026-03-20,10:00,M-2,1,,,\nS-1,2026-03-21,10:00,M-1,1,,,\n`).expect(201);
  await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql(`UPDATE placement SET removed_on = '2026-03-15' FROM machine m WHERE m.id = machine_id AND m.tag = 'M-2'`));
  const before = await countOf('collection');
  const refused = await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/accept`).expect(409);
  expect(refused.body.code).toBe('file-outdated');
  expect(await countOf('collection')).toBe(before);
  await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/discard`).expect(200);
});

test('30 MB of rubbish cost one pass and keep a thousand errors', async () => {
  const rubbish = Buffer.from(`${head}\n${'x,y,z,,1e9;;,"?",-5,\n'.repeat(1_500_000)}`);
  expect(rubbish.length).toBeGreaterThan(30_000_000);
  const file = await upload(rubbish).expect(201);
  expect(file.body).toMatchObject({ state: 'refused', rowCount: 1_500_000 });
  expect((await api.operator.as('bookkeeper').get(`/v1/imports/${file.body.id}/errors`).expect(200)).body.items).toHaveLength(1000);
}, 120_000);

test('50,000 lines in one file are staged and accepted', async () => {
  // 2,500 visits of one site, twenty parts of one box each.
  const lines = Array.from({ length: 50_000 }, (_, index) => {
    const visit = Math.floor(index / 20);
    const day = new Date(Date.UTC(2026, 0, 3 + (visit % 50))).toISOString().slice(0, 10);
    const minutes = Math.floor(visit / 50);
    return `S-1,${day},${String(Math.floor(minutes / 60) + 1).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')},M-1,${(index % 20) + 1},${(index % 400) / 4},0,0,`;
  });
  const staged = await upload(`site,collected_on,collected_at,machine,part,coin,note,refund,handed_to_site\n${lines.join('\n')}\n`).expect(201);
  expect(staged.body).toMatchObject({ state: 'staged', rowCount: 50_000, errorCounts: {} });
  const before = await countOf('box_count');
  await api.operator.as('bookkeeper').post(`/v1/imports/${staged.body.id}/accept`).expect(200);
  expect(await countOf('box_count')).toBe(before + 50_000);
}, 120_000);

test('roles that do not enter collections may not upload, and another operator sees nothing', async () => {
  const staged = await upload(`${head}\nS-1,2026-03-22,10:00,M-1,1,,,\n`).expect(201);
  await api.operator.as('collector').send('POST', '/v1/imports').set('Content-Type', 'text/csv').send('x').expect(403);
  await api.other.as('owner').get(`/v1/imports/${staged.body.id}`).expect(404);
  await api.other.as('owner').get(`/v1/imports/${staged.body.id}/errors`).expect(404);
  await api.other.as('owner').post(`/v1/imports/${staged.body.id}/accept`).expect(404);
});

describe('a file of keys', () => {
  const keyHead = 'code,class,outside_copies,copy,store,with,found,machine,lock,opens,fitted_on';
  const asOwner = (text: string) => api.operator.as('owner').send('POST', '/v1/imports?kind=keys&fileName=keys.csv').set('Content-Type', 'text/csv').send(`${keyHead}\n${text}`);
  const accept = (id: string) => api.operator.as('owner').post(`/v1/imports/${id}/accept`);
  const errorsIn = async (id: string): Promise<string[]> =>
    ((await api.operator.as('owner').get(`/v1/imports/${id}/errors`).expect(200)).body.items as { lineNumber: number; column: string; code: string; message: string }[]).map(({ lineNumber, column, code, message }) => {
      expect(message.split(' ').length).toBeGreaterThan(3);
      return `${lineNumber} ${column} ${code}`;
    });

  beforeAll(async () => {
    const owner = api.operator.as('owner');
    await keyBooks(api.operator).store('SAFE');
    await makePerson(owner, { code: 'ORLA' });
    const barkeeper = await makePerson(owner, { code: 'BO', employedBy: 'site', siteId: ids.site });
    await keyBooks(api.operator).place({ code: 'HOOK', siteId: ids.site, responsiblePersonId: barkeeper.id });
  });

  const good = [
    'CASH-7,cash-box,yes,K-1,SAFE,,,,,,',
    'cash-7,cash-box,,K-2,SAFE,ORLA,,,,,',
    'CASH-7,cash-box,,K-3,SAFE,BO,yes,,,,',
    'DOOR-1,access,no,D-1,SAFE,HOOK,,,,,',
    'CASH-7,cash-box,,,,,,M-1,cash-door,cash-box,2026-02-03',
    'DOOR-1,access,,,,,,m-1,front-door,play-area,',
  ].join('\n');

  it('enters cuts, locks, copies and who has them as one, and is recognised the second time', async () => {
    const staged = (await asOwner(good).expect(201)).body;
    expect(staged).toMatchObject({ kind: 'keys', state: 'staged', rowCount: 6, errorCount: 0 });
    // Nothing of the trial is left.
    for (const table of ['key_code', 'key_copy', 'machine_lock', 'custody_event']) expect(await countOf(table)).toBe(0);
    expect((await accept(staged.id).expect(200)).body).toMatchObject({ kind: 'keys', state: 'accepted' });

    const owner = api.operator.as('owner');
    api.clock.advance({ milliseconds: 1000 });
    const holdings = (await owner.get('/v1/key-holdings').expect(200)).body.items as { number: string; code: string; class: string; outsideCopies: boolean; where: { holder: { code: string } } }[];
    expect(holdings.map(({ number, code, class: keyClass, outsideCopies, where }) => [number, code, keyClass, outsideCopies, where.holder.code])).toEqual([
      ['D-1', 'DOOR-1', 'access', false, 'HOOK'], ['K-1', 'CASH-7', 'cash-box', true, 'SAFE'], ['K-2', 'CASH-7', 'cash-box', true, 'ORLA'], ['K-3', 'CASH-7', 'cash-box', true, 'BO'],
    ]);
    const locks = (await owner.get('/v1/machine-locks').expect(200)).body.items as { machineTag: string; place: string; opens: string; keyCode: string; fittedAt: string }[];
    expect(locks.map(({ machineTag, place, opens, keyCode }) => [machineTag, place, opens, keyCode]).sort()).toEqual([['M-1', 'cash-door', 'cash-box', 'CASH-7'], ['M-1', 'front-door', 'play-area', 'DOOR-1']]);
    expect(locks.find(({ place }) => place === 'cash-door')?.fittedAt).toMatch(/^2026-02-03T/);
    // The key that a site should not have is a breach; what was given waits to be confirmed; the log holds all of it.
    const attention = (await owner.get('/v1/key-attention').expect(200)).body as { breaches: { number: string }[]; unacknowledged: { numbers: string[] }[] };
    expect([attention.breaches.map(({ number }) => number), attention.unacknowledged.map(({ numbers }) => numbers).sort()]).toEqual([['K-3'], [['D-1'], ['K-2']]]);
    expect(await countOf('evidence_leaf')).toBe(await countOf('custody_event'));

    const again = (await asOwner(good).expect(201)).body;
    expect(again).toMatchObject({ state: 'refused', sameAs: { id: staged.id, state: 'accepted' }, errorCounts: { 'copy-known': 4 } });
  });

  it('is refused as a whole, each wrong cell named', async () => {
    const wrong = [
      'CASH-7,access,,K-9,SAFE,,,,,,',
      'NEW-1,cash-box,,K-10,SAFE,BO,,,,,',
      'NEW-1,cash-box,,K-10,VAULT,NOBODY,,,,,',
      'NEW-1,cash-box,,K-11,SAFE,ORLA,yes,,,,',
      'NEW-1,cash-box,,K-12,SAFE,,,M-1,cash-door,cash-box,',
      'NEW-1,cash-box,maybe,,,,,M-404,Cash Door,drawer,03/02/2026',
    ];
    const first = (await asOwner([...wrong].join('\n')).expect(201)).body;
    expect(first.state).toBe('refused');
    expect(await errorsIn(first.id)).toEqual(['6  copy-or-lock', '7 outside_copies not-yes-or-no', '7 opens not-an-opening', '7 lock not-a-lock-place', '7 fitted_on not-a-date']);
    const second = (await asOwner([...wrong.slice(0, 4), 'NEW-1,cash-box,,,,,,M-404,cash-door,cash-box,'].join('\n')).expect(201)).body;
    expect(await errorsIn(second.id)).toEqual(['2 class class-differs', '4 copy copy-twice', '4 store unknown-store', '4 with unknown-holder', '5 found found-elsewhere', '6 machine unknown-machine']);
    // What only the rules of the books say, of every line at once.
    const third = (await asOwner(['NEW-1,cash-box,,K-10,SAFE,BO,,,,,', 'NEW-2,access,,,,,,M-1,box,everything,', 'NEW-1,cash-box,,,,,,M-1,cash-door,cash-box,', 'NEW-1,cash-box,,K-11,SAFE,HOOK,,,,,'].join('\n')).expect(201)).body;
    expect(await errorsIn(third.id)).toEqual(['2 with cash-box-key-to-site', '3 code other-class', '4 lock place-taken', '5 with cash-box-key-to-site']);
    expect((await accept(third.id).expect(409)).body).toMatchObject({ code: 'wrong-state' });
    expect((await api.operator.as('owner').get('/v1/key-codes').expect(200)).body.items).toHaveLength(2);
  });

  it('says of a cut that was lost, of a cell that is not of its line, and of copies outside that the books deny', async () => {
    const lost = await keyBooks(api.operator).cut({ class: 'cash-box', code: 'LOST-1' });
    await api.operator.inBooks((tx) =>
      tx.sql(`INSERT INTO key_case (tenant_id, id, key_code_id, class, cause, state, happened_at, surely_held_until, opened_at, opened_by, reason, closed_at, closed_by, closing_reason)
              VALUES ($1, uuidv7(), $2, 'cash-box', 'compromised', 'closed', '2026-01-05', '2026-01-05', '2026-01-05', 'system:test', 'Test', '2026-01-06', 'system:test', 'Done')`, [tx.tenantId, lost.id]),
    );
    const leaves = await countOf('evidence_leaf');
    const fitting = (await asOwner('LOST-1,cash-box,,,,,,M-1,second-door,cash-box,\nNEW-3,cash-box,,K-30,SAFE,ORLA,,,,,').expect(201)).body;
    expect(await errorsIn(fitting.id)).toEqual(['2 code lost-cut']);
    expect(await countOf('evidence_leaf')).toBe(leaves);
    const cells = (await asOwner('NEW-3,cash-box,,K-30,SAFE,,no,,back-door,,\nNEW-3,cash-box,,,SAFE,,no,M-1,second-door,cash-box,').expect(201)).body;
    expect(await errorsIn(cells.id)).toEqual(['2 lock not-of-this-line', '3 store not-of-this-line']);
    const outside = (await asOwner('DOOR-1,access,yes,D-30,SAFE,,,,,,\nCASH-7,cash-box,no,K-30,SAFE,,,,,,\nCASH-7,cash-box,,K-31,SAFE,,,,,,').expect(201)).body;
    expect(await errorsIn(outside.id)).toEqual(['2 outside_copies outside-differs', '3 outside_copies outside-differs']);
  });

  it('makes events of at most two hundred copies, and holds the log for the acceptance alone', async () => {
    const rows = Array.from({ length: 201 }, (_, index) => `MANY-1,access,,MANY-${index},SAFE,,,,,,`).join('\n');
    const [events, leaves] = [await countOf('custody_event'), await countOf('evidence_leaf')];
    const staged = (await asOwner(rows).expect(201)).body;
    expect(staged).toMatchObject({ state: 'staged', rowCount: 201 });
    await accept(staged.id).expect(200);
    expect([await countOf('custody_event'), await countOf('evidence_leaf')]).toEqual([events + 2, leaves + 2]);
  });

  it('waits, and is not entered where the books moved on meanwhile, nor by who may not make copies', async () => {
    const staged = (await asOwner('SLOW-1,cash-box,,K-20,SAFE,,,,,,').expect(201)).body;
    await api.operator.as('bookkeeper').post(`/v1/imports/${staged.id}/accept`).expect(403);
    await api.operator.as('bookkeeper').send('POST', '/v1/imports?kind=keys').set('Content-Type', 'text/csv').send(`${keyHead}\nS,access,,S-1,SAFE,,,,,,`).expect(403);
    const overtaking = (await asOwner('SLOW-1,access,,K-21,SAFE,,,,,,').expect(201)).body;
    await accept(overtaking.id).expect(200);
    expect((await accept(staged.id).expect(409)).body).toMatchObject({ code: 'file-outdated', detail: 'Lines that no longer fit: 1.' });
    await asOwner('').expect(422);
  });
});
