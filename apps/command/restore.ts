import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { readMigrationFiles } from '#database/migration-files';
import { roleName } from '#database/roles';
import { readCommandConfiguration, type CommandConfiguration } from '#runtime/configuration';
import { configurationOrExit } from '#runtime/lifecycle';
import { loadDatabase, tablesWithRows, wakeAllWork } from './archive/load';
import { readManifest, type Manifest } from './archive/manifest';
import { onConnection, openDatabases, type Databases } from './databases';
import { CommandFailure, runCommand, say } from './failure';

const USAGE = 'npm run restore -- <directory of a backup>';

/** `npm run restore`: fills an empty installation from a backup, and brings it up to this program's version. */
async function main(): Promise<void> {
  const configuration = configurationOrExit(readCommandConfiguration(process.env));
  const directory = readDirectory(process.argv.slice(2));
  const manifest = await restore({ configuration, directory });
  const rowCount = manifest.tables.reduce((sum, table) => sum + table.rowCount, 0);
  say(`Restored ${rowCount} rows of ${manifest.tables.length} tables from ${directory}; every digest agrees.`);
  say('');
  say('The master key is not part of a backup. Before the next start, put the key file of the old installation where');
  say('MASTER_KEY_FILE names it (embedded: keys/master.key in the data directory).');
  if (manifest.masterKeyIds.length > 0) say(`Key ids that this backup needs: ${manifest.masterKeyIds.join(', ')}`);
}

export async function restore(request: { configuration: CommandConfiguration; directory: string }): Promise<Manifest> {
  const manifest = readManifest(request.directory);
  refuseUnknownMigrations(manifest);
  const databases = await openDatabases(request.configuration, { setsUp: true });
  try {
    const url = databases.superuserUrl();
    await refuseWhileInUse(url);
    await prepareEmptyTables({ databases, manifest });
    await loadDatabase({ url, directory: request.directory, manifest });
    await databases.migrate();
    await wakeAllWork(url);
    return manifest;
  } finally {
    await databases.close();
  }
}

function readDirectory(words: string[]): string {
  try {
    const { positionals } = parseArgs({ args: words, allowPositionals: true });
    const [directory] = positionals;
    if (positionals.length === 1 && directory !== undefined) return resolve(directory);
  } catch (error) {
    throw new CommandFailure(`${(error as Error).message}\n\n${USAGE}`);
  }
  throw new CommandFailure(USAGE);
}

function refuseUnknownMigrations({ migrations }: Manifest): void {
  const known = new Map(readMigrationFiles().map(({ name, checksum }) => [name, checksum]));
  const unknown = migrations.find(({ name, checksum }) => known.get(name) !== checksum);
  if (unknown) throw new CommandFailure(`The backup was made by another version of this program, which has the migration ${unknown.name}. Restore it with that version or a later one.`);
}

/** An api that runs on would serve half of a restored database, and a worker would work on it. */
async function refuseWhileInUse(url: string): Promise<void> {
  const { rows } = await onConnection(url, (client) =>
    client.query<{ count: number }>(
      'SELECT count(*)::integer AS count FROM pg_stat_activity WHERE datname = current_database() AND usename = ANY ($1)',
      [[roleName('app'), roleName('relay')]],
    ),
  );
  if (rows[0]?.count !== 0) throw new CommandFailure('The database is in use: stop api and worker first.');
}

/** Brings the database to the migrations that the backup was made with. It has to be empty; nothing is ever written over. */
async function prepareEmptyTables({ databases, manifest }: { databases: Databases; manifest: Manifest }): Promise<void> {
  const url = databases.superuserUrl();
  const { rows } = await onConnection(url, (client) =>
    client.query<{ hasTables: boolean }>(`SELECT to_regclass('public._prisma_migrations') IS NOT NULL AS "hasTables"`),
  );
  if (rows[0]?.hasTables) {
    const filled = await tablesWithRows(url);
    if (filled.length > 0) {
      throw new CommandFailure(
        `The database is not empty (${filled.slice(0, 5).join(', ')}${filled.length > 5 ? ' ...' : ''}). A backup is restored into an empty one: ` +
          'set DATA_DIRECTORY to a new directory, or DATABASE_URL to a new database.',
      );
    }
    // Its tables may be newer than the backup's; with no row in it nothing is lost.
    await databases.recreate();
  }
  await databases.migrate({ upTo: manifest.migrations.at(-1)?.name ?? '' });
}

if (require.main === module) runCommand(main, USAGE);
