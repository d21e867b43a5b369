import { randomUUID } from 'node:crypto';
import { Client, escapeIdentifier } from 'pg';
import { readMigrationFiles, type MigrationFile } from './migration-files';
import { databaseRoles, roleName, roleSetupSql, urlsForRoles, type RolePasswords, type RoleUrls } from './roles';

/** The lock under which the Prisma command line migrates, so that it and this program wait for each other. */
const MIGRATION_LOCK = 72_707_369;

/** uuidv7() came with PostgreSQL 18. */
const OLDEST_SERVER = 180_000;

export type MigrationReport = {
  /** Names of the migrations that this run applied, in order. */
  readonly applied: readonly string[];
  /** How many had been applied before. */
  readonly presentBefore: number;
};

/**
 * Creates the database and its five roles where they are missing, and sets the roles' passwords. Harmless to repeat;
 * two processes may do so at once. Needs a superuser, or an administrator with CREATEROLE, CREATEDB and BYPASSRLS; on a
 * server where nobody else gets these, an administrator runs {@link roleSetupSql} by hand. Tables come afterwards, from {@link migrateDatabase} with the owner's URL of the answer.
 */
export async function prepareDatabase(preparation: {
  /** Connection string of a superuser or such an administrator, on any existing database. */
  readonly superuserUrl: string;
  /** Name of the database to create. */
  readonly database: string;
  readonly passwords: RolePasswords;
}): Promise<RoleUrls> {
  const { superuserUrl, database, passwords } = preparation;
  await withConnection(superuserUrl, async (client) => {
    await client.query('SELECT pg_advisory_lock($1)', [MIGRATION_LOCK]);
    const { rowCount } = await client.query('SELECT FROM pg_database WHERE datname = $1', [database]);
    if (rowCount === 0) {
      // Collation "C": codes and tags sort alike on every machine; names are sorted for people where they are shown.
      await client.query(`CREATE DATABASE ${escapeIdentifier(database)} TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C.UTF-8' LOCALE_PROVIDER builtin`);
    }
    await client.query(roleSetupSql({ database, passwords }));
  });
  return urlsForRoles({ serverUrl: superuserUrl, database, passwords });
}

/**
 * Applies the migrations that a database lacks, each in a transaction of its own together with its row in
 * `_prisma_migrations`: an interrupted run leaves whole migrations only. Refuses a database in which a migration that
 * was applied differs from the file, that a newer program has migrated, or whose roles are missing or too powerful.
 */
export async function migrateDatabase(migration: {
  readonly ownerUrl: string;
  /** Name of the last migration to apply; all of them when left out. */
  readonly upTo?: string;
  readonly migrationsDirectory?: string;
}): Promise<MigrationReport> {
  const files = readMigrationFiles(migration.migrationsDirectory);
  if (migration.upTo !== undefined && !files.some((file) => file.name === migration.upTo)) {
    throw new Error(`There is no migration "${migration.upTo}".`);
  }
  return withConnection(migration.ownerUrl, async (client) => {
    await refuseUnfitServer(client);
    await refuseUnfitRoles(client);
    // Another process may migrate for longer than a statement of ours may otherwise wait.
    await client.query('SET lock_timeout = 0');
    await client.query('SELECT pg_advisory_lock($1)', [MIGRATION_LOCK]);
    await client.query('RESET lock_timeout');
    // Not a wait for the disk per migration: one that a crash takes away was applied whole or not at all, and is applied again; what is written afterwards takes them with it.
    await client.query('SET synchronous_commit = off');

    const present = await readAppliedMigrations(client);
    refuseForeignHistory({ present, files });
    const wanted = files.filter((file) => !present.has(file.name) && (migration.upTo === undefined || file.name <= migration.upTo));
    for (const file of wanted) await applyMigration(client, file);
    return { applied: wanted.map((file) => file.name), presentBefore: present.size };
  });
}

async function withConnection<Value>(url: string, work: (client: Client) => Promise<Value>): Promise<Value> {
  const client = new Client({ connectionString: url, application_name: 'latchledger migrate' });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}

async function refuseUnfitServer(client: Client): Promise<void> {
  const { rows } = await client.query<{ number: number; text: string }>(
    `SELECT current_setting('server_version_num')::integer AS number, current_setting('server_version') AS text`,
  );
  const version = rows[0];
  if (!version || version.number < OLDEST_SERVER) {
    throw new Error(`PostgreSQL 18 or newer is needed; this server is ${version?.text ?? 'of unknown version'}.`);
  }
}

async function refuseUnfitRoles(client: Client): Promise<void> {
  const { rows } = await client.query<{ name: string; bypasses: boolean; superuser: boolean }>(
    'SELECT rolname AS name, rolbypassrls AS bypasses, rolsuper AS superuser FROM pg_roles WHERE rolname = ANY ($1)',
    [databaseRoles.map(roleName)],
  );
  const missing = databaseRoles.map(roleName).filter((name) => !rows.some((row) => row.name === name));
  if (missing.length > 0) {
    throw new Error(`The server has no role ${missing.join(', ')}. Let an administrator create the roles first; roleSetupSql in libs/database/roles.ts gives the SQL.`);
  }
  const powerful = rows.filter((row) => row.superuser || (row.bypasses && row.name !== roleName('backup')));
  if (powerful.length > 0) {
    throw new Error(`Row security would not hold for ${powerful.map((row) => row.name).join(', ')}: take away SUPERUSER and BYPASSRLS.`);
  }
}

async function readAppliedMigrations(client: Client): Promise<Map<string, string>> {
  await client.query(
    `CREATE TABLE IF NOT EXISTS _prisma_migrations (
       id                  varchar(36)  NOT NULL PRIMARY KEY,
       checksum            varchar(64)  NOT NULL,
       finished_at         timestamptz,
       migration_name      varchar(255) NOT NULL,
       logs                text,
       rolled_back_at      timestamptz,
       started_at          timestamptz  NOT NULL DEFAULT now(),
       applied_steps_count integer      NOT NULL DEFAULT 0
     );
     GRANT SELECT ON _prisma_migrations TO ${roleName('backup')};`,
  );
  const { rows } = await client.query<{ name: string; checksum: string; finished: boolean }>(
    `SELECT migration_name AS name, checksum, finished_at IS NOT NULL AS finished
       FROM _prisma_migrations WHERE rolled_back_at IS NULL`,
  );
  const unfinished = rows.find((row) => !row.finished);
  if (unfinished) {
    throw new Error(`Migration "${unfinished.name}" was begun by another tool and did not finish. Repair it with that tool first.`);
  }
  return new Map(rows.map((row) => [row.name, row.checksum]));
}

function refuseForeignHistory(history: { present: Map<string, string>; files: readonly MigrationFile[] }): void {
  for (const [name, checksum] of history.present) {
    const file = history.files.find((candidate) => candidate.name === name);
    if (!file) throw new Error(`The database has migration "${name}", which this program does not know: it was migrated by a newer version.`);
    if (file.checksum !== checksum) {
      throw new Error(`Migration "${name}" was changed after it had been applied. Put the file back, and write a new migration instead.`);
    }
  }
}

async function applyMigration(client: Client, file: MigrationFile): Promise<void> {
  await client.query('BEGIN');
  try {
    await client.query(file.sql);
    await client.query(
      `INSERT INTO _prisma_migrations (id, checksum, migration_name, finished_at, applied_steps_count)
       VALUES ($1, $2, $3, clock_timestamp(), 1)`,
      [randomUUID(), file.checksum, file.name],
    );
    await client.query('COMMIT');
  } catch (error) {
    await client.query('ROLLBACK');
    throw new Error(`Migration "${file.name}" failed and was rolled back: ${describe(error)}`, { cause: error });
  }
}

function describe(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
