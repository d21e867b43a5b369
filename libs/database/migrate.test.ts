import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onConnection } from '#tests/support/connection';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';
import { randomPasswords, withEmptyServer, withMigratedServer } from '#tests/support/migrated-server';
import { migrateDatabase, prepareDatabase } from './migrate';
import { readMigrationFiles } from './migration-files';
import { roleSetupSql, urlsForRoles } from './roles';
import { closeDatabase, createDatabase, pingDatabase } from './tenant';

const files = readMigrationFiles();
let db: TestDatabase;
let directory: string;
beforeEach(async () => {
  db = await createTestDatabase({ contents: 'empty' });
  directory = mkdtempSync(join(tmpdir(), 'latchledger-migrations-'));
});
afterEach(async () => {
  rmSync(directory, { recursive: true });
  await db.drop();
});

/** A folder of migrations of this test: names and SQL. */
function writeMigrations(migrations: Readonly<Record<string, string>>): void {
  for (const [name, sql] of Object.entries(migrations)) {
    mkdirSync(join(directory, name), { recursive: true });
    writeFileSync(join(directory, name, 'migration.sql'), sql);
  }
}
const migrate = (upTo?: string) => migrateDatabase({ ownerUrl: db.urls.owner, migrationsDirectory: directory, ...(upTo === undefined ? {} : { upTo }) });
const query = async (sql: string): Promise<unknown[]> => onConnection(db.urls.owner, async (client) => (await client.query<object>(sql)).rows);

const ONE = '20260101000000_one';
const TWO = '20260102000000_two';
const THREE = '20260103000000_three';

describe('migrateDatabase', () => {
  it('applies what is missing, in order, and nothing the second time', async () => {
    writeMigrations({ [TWO]: 'CREATE TABLE two AS SELECT count(*) FROM one', [ONE]: 'CREATE TABLE one (a integer); INSERT INTO one VALUES (1)' });
    expect(await migrate()).toEqual({ applied: [ONE, TWO], presentBefore: 0 });
    expect(await migrate()).toEqual({ applied: [], presentBefore: 2 });
    writeMigrations({ [THREE]: 'CREATE TABLE three ()' });
    expect(await migrate()).toEqual({ applied: [THREE], presentBefore: 2 });
    expect(await query('SELECT * FROM two')).toEqual([{ count: '1' }]);
  });

  it('stops at the migration that it is told to stop at, and refuses one that does not exist', async () => {
    writeMigrations({ [ONE]: 'CREATE TABLE one ()', [TWO]: 'CREATE TABLE two ()' });
    expect(await migrate(ONE)).toEqual({ applied: [ONE], presentBefore: 0 });
    await expect(migrate('20260101000000_none')).rejects.toThrow('There is no migration "20260101000000_none".');
  });

  it('writes the rows that the Prisma command line reads: one finished step, SHA-256 of the file', async () => {
    writeMigrations({ [ONE]: 'SELECT 1;\n' });
    await migrate();
    // printf 'SELECT 1;\n' | sha256sum
    const checksum = 'b4e0497804e46e0a0b0b8c31975b062152d551bac49c3c2e80932567b4085dcd';
    expect(await query('SELECT migration_name, checksum, applied_steps_count, logs, rolled_back_at, finished_at >= started_at AS finished FROM _prisma_migrations')).toEqual([
      { migration_name: ONE, checksum, applied_steps_count: 1, logs: null, rolled_back_at: null, finished: true },
    ]);
  });

  it('leaves nothing of a migration that failed, and takes it up again when it is mended', async () => {
    writeMigrations({ [ONE]: 'CREATE TABLE one ()', [TWO]: 'CREATE TABLE two (); SELECT 1 / 0' });
    await expect(migrate()).rejects.toThrow(`Migration "${TWO}" failed and was rolled back: division by zero`);
    expect(await query(`SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1`)).toEqual([{ tablename: '_prisma_migrations' }, { tablename: 'one' }]);
    writeMigrations({ [TWO]: 'CREATE TABLE two ()' });
    expect(await migrate()).toEqual({ applied: [TWO], presentBefore: 1 });
  });

  it('refuses a migration that was changed after it had been applied', async () => {
    writeMigrations({ [ONE]: 'CREATE TABLE one ()' });
    await migrate();
    writeMigrations({ [ONE]: 'CREATE TABLE one (a integer)', [TWO]: 'CREATE TABLE two ()' });
    await expect(migrate()).rejects.toThrow(`Migration "${ONE}" was changed after it had been applied.`);
    expect(await query(`SELECT FROM pg_tables WHERE tablename = 'two'`)).toEqual([]);
  });

  it('refuses a database that a newer program has migrated', async () => {
    writeMigrations({ [ONE]: 'SELECT 1', [TWO]: 'SELECT 2' });
    await migrate();
    rmSync(join(directory, TWO), { recursive: true });
    await expect(migrate()).rejects.toThrow(/does not know: it was migrated by a newer version/);
  });

  it('refuses a database in which another tool has a migration half done, and passes over one that was rolled back', async () => {
    writeMigrations({ [ONE]: 'SELECT 1', [TWO]: 'SELECT 2' });
    await migrate(ONE);
    await query(`INSERT INTO _prisma_migrations (id, checksum, migration_name, rolled_back_at) VALUES ('x', 'y', '${TWO}', now())`);
    expect(await migrate()).toEqual({ applied: [TWO], presentBefore: 1 });
    await query(`INSERT INTO _prisma_migrations (id, checksum, migration_name) VALUES ('z', 'y', '${THREE}')`);
    await expect(migrate()).rejects.toThrow(`Migration "${THREE}" was begun by another tool`);
  });

  it('two at once apply each migration once', async () => {
    writeMigrations({ [ONE]: 'CREATE TABLE one (); SELECT pg_sleep(0.2)', [TWO]: 'CREATE TABLE two ()' });
    const reports = await Promise.all([migrate(), migrate()]);
    expect(reports.flatMap((report) => report.applied).sort()).toEqual([ONE, TWO]);
  });

  it('applies the migrations of this program', async () => {
    cpSync(join(__dirname, '..', '..', 'prisma', 'migrations'), directory, { recursive: true });
    expect((await migrate()).applied).toEqual(files.map((file) => file.name));
  });
});

describe('a server of its own', () => {
  it('is prepared as often as one likes, also twice at once, and the newest passwords count', async () => {
    await withMigratedServer(async ({ superuserUrl, passwords }) => {
      const prepare = (suffix: string) =>
        prepareDatabase({ superuserUrl, database: 'second "database"', passwords: { ...passwords, app: `new-password-${suffix}` } });
      await Promise.all([prepare('one'), prepare('one')]);
      const urls = await prepare('p@ss/word:%');
      await migrateDatabase({ ownerUrl: urls.owner });
      const database = createDatabase({ appUrl: urls.app, poolSize: 1 });
      await pingDatabase(database);
      await closeDatabase(database);
      await expect(onConnection(urls.app.replace(/%/, 'x'), async () => undefined)).rejects.toMatchObject({ code: '28P01' });
    });
  });

  it('is not migrated when a role could look past row security, or is missing', async () => {
    await withMigratedServer(async ({ superuserUrl, urls }) => {
      const asAdministrator = (sql: string) => onConnection(superuserUrl, (client) => client.query(sql));
      await asAdministrator('ALTER ROLE latchledger_app BYPASSRLS');
      await expect(migrateDatabase({ ownerUrl: urls.owner })).rejects.toThrow(/would not hold for latchledger_app/);
      await asAdministrator('ALTER ROLE latchledger_app NOBYPASSRLS');
      await asAdministrator('ALTER ROLE latchledger_relay RENAME TO somebody_else');
      await expect(migrateDatabase({ ownerUrl: urls.owner })).rejects.toThrow(/no role latchledger_relay/);
    });
  });

  it.each(['by the program', 'by hand'])('is prepared by an administrator who is no superuser (%s)', async (way) => {
    await withEmptyServer(async (superuserUrl) => {
      const setup = { database: 'managed', passwords: randomPasswords() };
      await onConnection(superuserUrl, (client) => client.query(`CREATE ROLE administrator LOGIN CREATEROLE CREATEDB BYPASSRLS PASSWORD 'administrator'`));
      const administrator = new URL(superuserUrl);
      [administrator.username, administrator.password] = ['administrator', 'administrator'];
      if (way === 'by the program') {
        await prepareDatabase({ superuserUrl: administrator.toString(), ...setup });
      } else {
        await onConnection(administrator.toString(), (client) => client.query('CREATE DATABASE managed'));
        await onConnection(administrator.toString(), (client) => client.query(roleSetupSql(setup)));
      }
      const urls = urlsForRoles({ serverUrl: superuserUrl, ...setup });
      expect((await migrateDatabase({ ownerUrl: urls.owner })).applied).toHaveLength(files.length);
      const database = createDatabase({ appUrl: urls.app, poolSize: 1 });
      await pingDatabase(database);
      await closeDatabase(database);
    });
  });
});
