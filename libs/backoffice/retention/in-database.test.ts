import { retentionKinds, ruleOfKeeping } from '#domain/retention/kinds';
import { countriesWithLaw } from '#domain/retention/law';
import { createTenant, createTestDatabase, onConnection, type TestDatabase } from '#tests/support/database';

// What the database says of keeping by itself.

let db: TestDatabase;
let tenantId: string;
beforeAll(async () => {
  db = await createTestDatabase();
  tenantId = await createTenant(db);
});
afterAll(() => db?.drop());

test('asks the law for the same years as the program, for every country and kind', async () => {
  const asked = [...countriesWithLaw, 'BR'].flatMap((country) => retentionKinds.map((kind) => ({ country, kind, ...ruleOfKeeping(kind, country) }))).filter(({ unit }) => unit === 'years');
  const { rows: found } = await onConnection(db.urls.superuser, (client) =>
    client.query<{ years: number }>('SELECT app.least_years_kept(a.kind, a.country) AS years FROM unnest($1::text[], $2::text[]) WITH ORDINALITY AS a (kind, country, place) ORDER BY a.place', [asked.map(({ kind }) => kind), asked.map(({ country }) => country)]),
  );
  expect(asked).toHaveLength(40);
  expect(found.map(({ years }, place) => [asked[place]?.country, asked[place]?.kind, years])).toEqual(asked.map(({ country, kind, least }) => [country, kind, least]));
});

test('knows of every table of mails, so that no address is kept for good', async () => {
  const { rows } = await onConnection(db.urls.superuser, (client) =>
    client.query<{ name: string; goes: boolean }>(
      `SELECT n.nspname || '.' || c.relname AS name, n.nspname || '.' || c.relname IN (SELECT r.table_name FROM unnest($1::text[]) AS kind, app.removable(kind) r) AS goes
         FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
        WHERE c.relkind IN ('r', 'p') AND n.nspname IN ('public', 'identity') AND (c.relname LIKE '%\\_mail' OR c.relname = 'party_address_change') ORDER BY 1`,
      [[...retentionKinds]],
    ),
  );
  expect(rows.map(({ name }) => name)).toEqual(expect.arrayContaining(['public.bank_detail_payee_mail', 'public.certificate_end_mail', 'public.party_address_change', 'public.statement_mail', 'public.webhook_mail']));
  expect(rows.filter(({ goes }) => !goes)).toEqual([]);
});

test('finds what goes by an index: of a large table no night reads what stays', async () => {
  const { rows: targets } = await onConnection(db.urls.superuser, (client) =>
    client.query<{ table_name: string; within: string }>('SELECT r.table_name, r.within FROM unnest($1::text[]) AS kind, app.removable(kind) r', [[...retentionKinds]]),
  );
  const searched = targets.filter(({ within }) => within !== 'true').map(({ table_name: name }) => name);
  expect(searched).toEqual(expect.arrayContaining(['public.machine_report_reading', 'public.machine_event', 'public.audit_entry', 'public.statement_mail', 'public.statement_opening', 'public.webhook_attempt', 'public.webhook_delivery', 'public.webhook_event', 'public.import_row', 'public.phone_visit', 'public.audit_file']));
  await onConnection(db.urls.superuser, async (client) => {
    await client.query('SET enable_seqscan = off');
    await client.query(`SELECT set_config('app.tenant', $1, false)`, [tenantId]);
    for (const { table_name: name, within } of targets.filter(({ within: narrowed }) => narrowed !== 'true')) {
      const { rows: plan } = await client.query<{ 'QUERY PLAN': string }>(`EXPLAIN SELECT FROM ${name} t WHERE t.tenant_id = app.current_tenant() AND ${within.replaceAll('$1', `'2020-01-01'::timestamptz`)}`);
      const conditions = plan.map((line) => line['QUERY PLAN']).filter((line) => line.includes('Index Cond')).join();
      expect([name, conditions]).toEqual([name, expect.stringMatching(/ < |import_file_id = ANY/)]);
    }
  });
});
