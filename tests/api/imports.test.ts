import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi } from '#tests/support/api';
import { asTenant } from '#tests/support/database';

let api: TestApi;
let ids: Readonly<Record<'site' | 'area' | 'machine' | 'placement' | 'party' | 'agreement', string>>;

beforeAll(async () => {
  api = await startTestApi();
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
  ].join('\n');
  const file = await upload(csv).expect(201);
  expect(file.body.errorCounts).toEqual({ 'machine-twice': 1, 'visit-booked-to-two-dates': 1, 'visit-by-two-collectors': 1, 'no-agreement': 2 });
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
