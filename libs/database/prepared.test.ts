import { onConnection } from '#tests/support/connection';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { createDatabase, closeDatabase, withTenant } from './tenant';

let db: TestDatabase;
let tenant: string;
beforeAll(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
});
afterAll(() => db?.drop());

const asOwner = (sql: string) => onConnection(db.urls.owner, (client) => client.query(sql));

it('prepares a statement once per connection, and none that came without parameters', async () => {
  const database = createDatabase({ appUrl: db.urls.app, poolSize: 1 });
  try {
    const scope = { tenantId: tenant, kind: 'system', id: 'test' } as const;
    const prepared = async (): Promise<unknown[]> =>
      withTenant(database, scope, async (tx) => {
        await tx.sql('SELECT name FROM operator WHERE tenant_id = $1', [tenant]);
        await tx.sql('SELECT name FROM operator');
        return (await tx.sql(`SELECT statement FROM pg_prepared_statements`)).rows.map((row) => row['statement']);
      });
    const once = ['SELECT name FROM operator WHERE tenant_id = $1'];
    expect([await prepared(), await prepared()]).toEqual([once, once]);
  } finally {
    await closeDatabase(database);
  }
});

it('goes on by a new connection when a migration changed what a statement answers', async () => {
  await asOwner('CREATE TABLE short_lived (id integer); GRANT SELECT ON short_lived TO latchledger_app');
  const read = () => asTenant(db, tenant, async (tx) => (await tx.sql('SELECT * FROM short_lived WHERE id < $1', [10])).rows);
  await asOwner('INSERT INTO short_lived VALUES (1)');
  expect(await read()).toEqual([{ id: 1 }]);
  await asOwner(`ALTER TABLE short_lived ADD COLUMN name text DEFAULT 'new'`);
  expect(await read()).toEqual([{ id: 1, name: 'new' }]);
});
