import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import { Client } from 'pg';
import { createOperator } from '#backoffice/operator/create';
import { readMigrationFiles } from '#database/migration-files';
import { enqueue } from '#database/outbox';
import { closeDatabase, createDatabase, withTenant } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { readCommandConfiguration, type CommandConfiguration } from '#runtime/configuration';
import { startTemporaryPostgres, type EmbeddedPostgres } from '#runtime/embedded-postgres';
import { newId } from '#runtime/ids';
import { dumpDatabase } from './archive/dump';
import { tablesWithRows } from './archive/load';
import { readManifest } from './archive/manifest';
import { onConnection, openDatabases, type Databases } from './databases';
import { restore } from './restore';

let directory: string;
let postgres: EmbeddedPostgres;
let source: Databases;
let tenantId: string;
let backup: string;

function configurationFor(database: string): CommandConfiguration {
  const url = new URL(postgres.superuserUrl);
  url.pathname = `/${database}`;
  const read = readCommandConfiguration({ DATABASE_URL: url.toString(), DATA_DIRECTORY: directory });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
}

/** Text that a careless format would not bring back. */
const AWKWARD = 'tab\tline\nback\\slash "quote" \\N łódź 東京 €';

beforeAll(async () => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-archive-'));
  postgres = await startTemporaryPostgres();
  source = await openDatabases(configurationFor('original'), { setsUp: true });
  await source.migrate();
  const database = createDatabase({ appUrl: source.urlFor('app'), poolSize: 2 });
  tenantId = newId();
  await createOperator(
    { database, clock: systemClock, newId, publicUrl: 'http://127.0.0.1' },
    { id: tenantId, code: 'example', name: 'Example', country: 'US', currency: 'USD', timeZone: 'America/Chicago', email: 'owner@example.com' },
  );
  await withTenant(database, { tenantId, kind: 'system', id: 'test' }, async (tx) => {
    await enqueue(tx, 'test.work', { text: AWKWARD, amountMinor: '9007199254740993', nothing: null });
    await tx.sql(`UPDATE operator SET address_lines = $2 WHERE tenant_id = $1`, [tenantId, [AWKWARD, '']]);
    await tx.sql(`INSERT INTO operator_data_key (tenant_id, wrapped_key, master_key_id) VALUES ($1, $2, 'key-of-march')`, [tenantId, Buffer.from([0, 1, 92, 255])]);
  });
  await closeDatabase(database);
  backup = join(directory, 'backup');
  await dumpDatabase({ url: source.urlFor('backup'), directory: backup, now: new Date('2026-03-01T00:00:00Z') });
});
afterAll(async () => {
  await postgres.stop();
  rmSync(directory, { recursive: true, force: true });
});

const contentOf = (url: string, table: string): Promise<unknown[]> =>
  onConnection(url, async (client) => (await client.query<{ row: unknown }>(`SELECT to_jsonb(t) AS row FROM ${table} t ORDER BY to_jsonb(t)::text`)).rows);

it('brings every row back, users and audit trail included', async () => {
  await restore({ configuration: configurationFor('restored'), directory: backup });
  const [from, to] = [source.superuserUrl(), (await openDatabases(configurationFor('restored'))).superuserUrl()];

  const filled = await tablesWithRows(from);
  expect(filled).toEqual(expect.arrayContaining(['operator', 'outbox', 'audit_entry', 'operator_data_key', 'one_use_link']));
  expect(await tablesWithRows(to)).toEqual(filled);
  const manifest = readManifest(backup);
  expect(manifest.tables.length).toBeGreaterThan(40);
  for (const { schema, name } of manifest.tables) {
    if (name !== 'outbox') expect(await contentOf(to, `${schema}.${name}`)).toEqual(await contentOf(from, `${schema}.${name}`));
  }
  const [work] = (await contentOf(to, 'outbox')) as { row: { payload: { text: string }; relayed_at: null } }[];
  expect(work?.row).toMatchObject({ payload: { text: AWKWARD, amountMinor: '9007199254740993' }, relayed_at: null });
});

it('leaves a database that works: triggers, row security and the queue are in force again', async () => {
  await restore({ configuration: configurationFor('working'), directory: backup });
  const databases = await openDatabases(configurationFor('working'));
  const database = createDatabase({ appUrl: databases.urlFor('app'), poolSize: 2 });
  const scope = { tenantId, kind: 'system', id: 'test' } as const;
  await withTenant(database, scope, (tx) => tx.sql(`UPDATE operator SET name = 'Renamed' WHERE tenant_id = $1`, [tenantId]));
  const trail = await withTenant(database, scope, (tx) => tx.sql(`SELECT after FROM audit_entry WHERE table_name = 'operator' ORDER BY id DESC LIMIT 1`));
  expect(trail.rows[0]?.['after']).toMatchObject({ name: 'Renamed' });
  await expect(withTenant(database, scope, (tx) => tx.sql('DELETE FROM audit_entry'))).rejects.toThrow();
  expect((await withTenant(database, { ...scope, tenantId: newId() }, (tx) => tx.sql('SELECT FROM operator'))).rowCount).toBe(0);
  await closeDatabase(database);
  expect(await onConnection(databases.urlFor('app'), async (client) => (await client.query('SELECT FROM bullmq.job')).rowCount)).toBe(0);
});

it('gives the same digests for the same rows, whichever server they come from', async () => {
  await restore({ configuration: configurationFor('again'), directory: backup });
  const databases = await openDatabases(configurationFor('again'));
  const again = join(directory, 'backup-again');
  await dumpDatabase({ url: databases.urlFor('backup'), directory: again, now: new Date('2026-03-02T00:00:00Z') });
  const digests = (path: string): [string, string][] =>
    readManifest(path).tables.filter(({ name }) => name !== 'outbox').map(({ name, digest }) => [name, digest]);
  expect(digests(again)).toEqual(digests(backup));
});

it('brings a backup of an earlier version up to this one', async () => {
  const [first] = readMigrationFiles();
  const earlier = await openDatabases(configurationFor('earlier'), { setsUp: true });
  await earlier.migrate({ upTo: first?.name ?? '' });
  await onConnection(earlier.superuserUrl(), (client) =>
    client.query(`SELECT set_config('app.tenant', '${tenantId}', false), set_config('app.actor', 'system:test', false);
      INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper)
      VALUES ('${tenantId}', 'early', 'Early', 'US', 'USD', 'en-US', 'America/Chicago', 'Letter')`),
  );
  const old = join(directory, 'backup-old');
  await dumpDatabase({ url: earlier.urlFor('backup'), directory: old, now: new Date() });
  expect(readManifest(old).migrations).toHaveLength(1);

  // The target has all of this version's tables already, and nothing in them.
  const configuration = configurationFor('brought-up');
  const target = await openDatabases(configuration, { setsUp: true });
  await target.migrate();
  await restore({ configuration, directory: old });
  expect((await target.migrate()).applied).toEqual([]);
  expect(await contentOf(target.superuserUrl(), 'operator')).toMatchObject([{ row: { code: 'early' } }]);
  expect(await contentOf(target.superuserUrl(), 'identity.user_account')).toEqual([]);
});

it('takes all tables from one moment, though others write meanwhile', async () => {
  const writer = new Client({ connectionString: source.superuserUrl() });
  await writer.connect();
  await writer.query(`CREATE TABLE pair_one (id integer PRIMARY KEY); CREATE TABLE pair_two (id integer PRIMARY KEY); GRANT SELECT ON pair_one, pair_two TO latchledger_backup`);
  try {
    const state = { written: 0, isOver: false };
    const writing = (async () => {
      while (!state.isOver) {
        state.written += 1;
        await writer.query(`WITH one AS (INSERT INTO pair_one VALUES (${state.written})) INSERT INTO pair_two VALUES (${state.written})`);
      }
    })();
    const manifest = await dumpDatabase({ url: source.urlFor('backup'), directory: join(directory, 'backup-busy'), now: new Date() });
    state.isOver = true;
    await writing;
    const [one, two] = ['pair_one', 'pair_two'].map((name) => manifest.tables.find((table) => table.name === name));
    expect(one?.rowCount).toBe(two?.rowCount);
    expect(one?.digest).toBe(two?.digest);
    expect(state.written).toBeGreaterThan(one?.rowCount ?? Infinity);
  } finally {
    await writer.query('DROP TABLE pair_one, pair_two');
    await writer.end();
  }
});

it('holds nothing that others may read, no master key, and is never written over', async () => {
  for (const name of readdirSync(backup)) expect(statSync(join(backup, name)).mode & 0o077).toBe(0);
  expect(statSync(backup).mode & 0o077).toBe(0);
  expect(readManifest(backup)).toMatchObject({ createdAt: '2026-03-01T00:00:00.000Z', masterKeyIds: ['key-of-march'] });
  await expect(dumpDatabase({ url: source.urlFor('backup'), directory: backup, now: new Date() })).rejects.toThrow('never written over');
  expect(readdirSync(directory).filter((name) => name.endsWith('.unfinished'))).toEqual([]);
});

describe('refuses', () => {
  it('a database that holds anything', async () => {
    await expect(restore({ configuration: configurationFor('original'), directory: backup })).rejects.toThrow(/not empty \(.*operator/);
    expect((await contentOf(source.superuserUrl(), 'operator')).length).toBe(1);
  });

  it('a database that a process uses', async () => {
    const databases = await openDatabases(configurationFor('busy'), { setsUp: true });
    await databases.migrate();
    const client = new Client({ connectionString: databases.urlFor('app') });
    await client.connect();
    await expect(restore({ configuration: configurationFor('busy'), directory: backup })).rejects.toThrow('stop api and worker');
    await client.end();
  });

  it('a file that was changed, and leaves the database empty', async () => {
    const changed = join(directory, 'backup-changed');
    await dumpDatabase({ url: source.urlFor('backup'), directory: changed, now: new Date() });
    const file = join(changed, 'public.operator.copy.gz');
    const text = gunzipSync(readFileSync(file)).toString('utf8');
    writeFileSync(file, gzipSync(text.replace('\tUSD\t', '\tEUR\t')));
    await expect(restore({ configuration: configurationFor('changed'), directory: changed })).rejects.toThrow(/public\.operator\.copy\.gz is not what/);
    writeFileSync(file, Buffer.from('no gzip'));
    await expect(restore({ configuration: configurationFor('changed'), directory: changed })).rejects.toThrow(/public\.operator\.copy\.gz cannot be restored/);
    expect(await tablesWithRows((await openDatabases(configurationFor('changed'))).superuserUrl())).toEqual([]);
  });

  it('a directory that is no backup, a damaged manifest and one of another version', async () => {
    const configuration = configurationFor('refused');
    await expect(restore({ configuration, directory })).rejects.toThrow('is no backup');
    const damaged = join(directory, 'backup-damaged');
    await dumpDatabase({ url: source.urlFor('backup'), directory: damaged, now: new Date() });
    const manifestFile = join(damaged, 'manifest.json');
    const manifest = readManifest(damaged);
    writeFileSync(manifestFile, JSON.stringify({ ...manifest, migrations: [...manifest.migrations, { name: '20990101000000_later', checksum: 'x' }] }));
    await expect(restore({ configuration, directory: damaged })).rejects.toThrow('another version of this program, which has the migration 20990101000000_later');
    writeFileSync(manifestFile, '{"format":');
    await expect(restore({ configuration, directory: damaged })).rejects.toThrow('is damaged');
    writeFileSync(manifestFile, JSON.stringify({ ...manifest, tables: [{ ...manifest.tables[0], file: '../../etc/passwd' }] }));
    await expect(restore({ configuration, directory: damaged })).rejects.toThrow('is damaged');
  });
});
