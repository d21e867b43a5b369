import { readFileSync } from 'node:fs';
import { CATALOGUE_FILE } from '#tests/support/catalogue-file';
import { onConnection } from '#tests/support/connection';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';
import { listTenantEscapes, type Exceptions } from '#tests/support/tenant-escapes';
import { listUnlistedTexts } from '#tests/support/unlisted-texts';
import { readCatalogue, type Catalogue } from './catalogue';

/** A new line here is a decision. */
const exceptions: Exceptions = {
  'public._prisma_migrations': 'the list of migrations has no tenant',
  'public.operator operator_code_unique leaves out the tenant':
    'a code names an operator on a command line; only the command that creates operators sets one',
  'public.operator policy owner_lists lets more rows through than those of its tenant':
    'sign-in and data migrations go through all operators: SELECT only, of the owner only',
  'public.outbox policy relay_sees lets more rows through than those of its tenant':
    'the relay serves every tenant; grants limit its columns',
  'public.outbox policy relay_marks lets more rows through than those of its tenant':
    'the relay notes what it handed on; relayed_at is the only column it may write',
  'public.audit_entry is tied to no operator, directly or through other tables':
    'triggers of tables that are tied write it, under the same tenant; a key would be looked up once per audited row',
};

let db: TestDatabase;
let catalogue: Catalogue;
beforeAll(async () => {
  db = await createTestDatabase();
  catalogue = await onConnection(db.urls.owner, readCatalogue);
});
afterAll(() => db.drop());

it('the database is as prisma/catalogue.json says (npm run catalogue writes it anew)', () => {
  expect(catalogue).toEqual(JSON.parse(readFileSync(CATALOGUE_FILE, 'utf8')));
});

it('no table, key, grant or function escapes its tenant', () => {
  expect(listTenantEscapes(catalogue, exceptions)).toEqual([]);
});

it('of every column of text somebody decided whether a name may be taken out of it', () => {
  expect(listUnlistedTexts(catalogue)).toEqual([]);
  const site = catalogue.tables['public.site'];
  if (site === undefined) throw new Error('no table of sites');
  const withNotes = { ...catalogue, tables: { ...catalogue.tables, 'public.site': { ...site, columns: { ...site.columns, note: 'text' } } } };
  expect(listUnlistedTexts(withNotes)).toEqual(['site.note is neither erasable nor listed as holding no free text']);
});

it('roles have no more power than their work needs', () => {
  const powers = Object.entries(catalogue.roles).filter(([, attributes]) => /SUPERUSER|CREATEROLE|CREATEDB|REPLICATION|MEMBER OF|BYPASSRLS/.test(attributes.replace(/ SET .*/, '')));
  expect(powers.map(([role]) => role)).toEqual(['latchledger_backup']);
  expect(catalogue.roles['latchledger_backup']).toMatch(/^LOGIN BYPASSRLS SET .*default_transaction_read_only=on/);
});

describe('a change that lets a tenant escape is found', () => {
  const breaches: Readonly<Record<string, { readonly sql: string; readonly found: readonly string[] }>> = {
    'a table without anything': {
      sql: 'CREATE TABLE loose (id uuid PRIMARY KEY)',
      found: [
        'public.loose has no column tenant_id',
        'public.loose has a primary key that does not begin with tenant_id',
        'public.loose has row security off',
        'public.loose has no policy "tenant" of the usual form',
        'public.loose can be emptied by TRUNCATE',
        'public.loose is tied to no operator, directly or through other tables',
      ],
    },
    'row security that is not forced': { sql: 'ALTER TABLE site NO FORCE ROW LEVEL SECURITY', found: ['public.site has row security enabled'] },
    'a policy that is wider': { sql: 'CREATE POLICY everything ON site USING (true)', found: ['public.site policy everything lets more rows through than those of its tenant'] },
    'a policy that checks nothing on the way in': {
      sql: 'DROP POLICY tenant ON site; CREATE POLICY tenant ON site USING (tenant_id = app.current_tenant()) WITH CHECK (true)',
      found: ['public.site has no policy "tenant" of the usual form'],
    },
    'a key over all tenants': { sql: 'CREATE UNIQUE INDEX site_name ON site (name)', found: ['public.site site_name leaves out the tenant'] },
    'a reference that leaves out the tenant': {
      sql: `ALTER TABLE machine ADD UNIQUE (id); ALTER TABLE placement ADD CONSTRAINT loose FOREIGN KEY (machine_id) REFERENCES machine (id)`,
      found: ['public.machine machine_id_key leaves out the tenant', 'public.placement loose leaves out the tenant'],
    },
    'an exclusion over all tenants': {
      sql: 'ALTER TABLE period ADD CONSTRAINT loose EXCLUDE USING gist (agreement_id WITH =, daterange(starts_on, ends_before) WITH &&)',
      found: ['public.period loose leaves out the tenant'],
    },
    'a right too many': {
      sql: 'GRANT TRUNCATE ON site TO latchledger_app; GRANT SELECT ON identity.session TO latchledger_app',
      found: ['identity.session to latchledger_app grants SELECT on a table that functions alone may reach', 'public.site to latchledger_app grants'],
    },
    'a trigger that was switched off': { sql: 'ALTER TABLE site DISABLE TRIGGER refuse_truncate', found: ['public.site can be emptied by TRUNCATE'] },
    'a function that runs as its owner on the path of its caller': {
      sql: `CREATE FUNCTION app.loose() RETURNS integer LANGUAGE sql SECURITY DEFINER AS 'SELECT 1'; GRANT EXECUTE ON FUNCTION app.loose() TO PUBLIC`,
      found: ['app.loose() may be executed by everybody', 'app.loose() runs as its owner with search path of its caller'],
    },
  };

  it.each(Object.entries(breaches))('%s', async (_, { sql, found }) => {
    await onConnection(db.urls.owner, async (client) => {
      await client.query('BEGIN');
      await client.query(sql);
      const escapes = listTenantEscapes(await readCatalogue(client), exceptions);
      expect(escapes).toEqual(found.map((sentence) => expect.stringContaining(sentence) as string));
      await client.query('ROLLBACK');
    });
  });
});
