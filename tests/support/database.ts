import { randomUUID } from 'node:crypto';
import { basename } from 'node:path';
import { escapeIdentifier, type Client } from 'pg';
import { roleName, urlsForRoles, type RoleUrls } from '#database/roles';
import { closeDatabase, createDatabase, withTenant, type Database, type RolledBack, type TenantTransaction } from '#database/tenant';
import { onConnection } from './connection';
import { BROKER_VARIABLE, TEMPLATE_NAME, type TestServer } from './test-server';
import { until } from './until';

export { onConnection };

export type TestDatabase = {
  readonly name: string;
  /** The application's door, as the program opens it. */
  readonly database: Database;
  /** Connection string per role, and of a superuser, on this database. */
  readonly urls: RoleUrls & { readonly superuser: string };
  /** Closes the door and drops the database. Fails when the test left a connection open. */
  readonly drop: () => Promise<void>;
};

export type TestDatabaseOptions = {
  /** `migrated` (the default) has every table; `empty` has the roles and nothing else, for tests of migrations. */
  readonly contents?: 'migrated' | 'empty';
  readonly poolSize?: number;
};

let serial = 0;

/**
 * A database for one test file or test, copied from the run's template. Its files are copied as they are: writing each
 * page to the log first, which is the server's default, takes five times as long.
 */
export async function createTestDatabase(options: TestDatabaseOptions = {}): Promise<TestDatabase> {
  const server = await testServer();
  const name = uniqueName();
  const template = options.contents === 'empty' ? 'template0' : TEMPLATE_NAME;
  await onServer(server, [
    `CREATE DATABASE ${escapeIdentifier(name)} TEMPLATE ${template} OWNER ${roleName('owner')} STRATEGY FILE_COPY`,
    `REVOKE ALL ON DATABASE ${escapeIdentifier(name)} FROM PUBLIC`,
    `GRANT CONNECT ON DATABASE ${escapeIdentifier(name)} TO ${['app', 'relay', 'reader', 'backup'].map((role) => `latchledger_${role}`).join(', ')}`,
  ]);
  const superuser = new URL(server.superuserUrl);
  superuser.pathname = `/${name}`;
  const urls = { ...urlsForRoles({ serverUrl: server.superuserUrl, database: name, passwords: server.passwords }), superuser: superuser.toString() };
  // Hundreds may wait in a row on a machine that does much else.
  const database = createDatabase({ appUrl: urls.app, poolSize: options.poolSize ?? 5, applicationName: name, connectionTimeoutMs: 120_000 });
  return {
    name,
    database,
    urls,
    drop: async () => {
      await closeDatabase(database);
      await dropDatabase(server, name);
    },
  };
}

/** Runs work as one transaction of a tenant, signed `system:test`. */
export function asTenant<Value>(
  db: Pick<TestDatabase, 'database'>,
  tenantId: string,
  work: (tx: TenantTransaction) => Promise<Value | RolledBack<Value>>,
): Promise<Value> {
  return withTenant(db.database, { tenantId, kind: 'system', id: 'test', requestId: 'test' }, work);
}

/**
 * Until as many connections as that wait for a lock: the race is where the test wants it. Looks from a connection of its own, for
 * in a transaction pg_stat_activity stays as it was at the first look.
 */
export async function untilWaiting({ urls }: Pick<TestDatabase, 'urls'>, connections: number): Promise<void> {
  await onConnection(urls.superuser, (client) =>
    until(async () => {
      const { rows } = await client.query<{ waiting: number }>(
        `SELECT count(*)::int AS waiting FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`,
      );
      return rows[0]?.waiting === connections;
    }),
  );
}

/** Makes an operator with sensible settings; gives back its tenant id. */
export async function createTenant(
  db: Pick<TestDatabase, 'database'>,
  settings: { readonly country?: string; readonly currency?: string; readonly timeZone?: string; readonly locale?: string } = {},
): Promise<string> {
  const tenantId = randomUUID();
  await asTenant(db, tenantId, (tx) =>
    tx.sql(
      `INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper)
       VALUES ($1, $2, 'Test operator', $3, $4, $5, $6, 'A4')`,
      [tenantId, `test-${tenantId.slice(0, 8)}`, settings.country ?? 'US', settings.currency ?? 'USD', settings.locale ?? 'en-US', settings.timeZone ?? 'America/Chicago'],
    ),
  );
  return tenantId;
}

async function testServer(): Promise<TestServer> {
  const broker = process.env[BROKER_VARIABLE];
  if (broker === undefined) throw new Error('Test databases need the global setup of jest.config.js.');
  const response = await fetch(broker);
  const text = await response.text();
  if (!response.ok) throw new Error(text);
  return JSON.parse(text) as TestServer;
}

/** Named after the test file, so that a database left behind says whose it is. */
function uniqueName(): string {
  serial += 1;
  const file = basename(expect.getState().testPath ?? 'unknown', '.test.ts').toLowerCase().replaceAll(/[^a-z0-9]+/g, '_');
  return `test_${file.slice(0, 30)}_${process.pid}_${serial}_${randomUUID().slice(0, 4)}`;
}

async function onServer(server: TestServer, statements: readonly string[]): Promise<void> {
  await onConnection(server.superuserUrl, async (client) => {
    for (const statement of statements) await client.query(statement);
  });
}

async function dropDatabase(server: TestServer, name: string): Promise<void> {
  await onConnection(server.superuserUrl, async (client) => {
    const left = await connectionsLeft(client, name);
    await client.query(`DROP DATABASE ${escapeIdentifier(name)} WITH (FORCE)`);
    if (left.length > 0) throw new Error(`A test left connections open: ${left.join('; ')}`);
  });
}

/** A closed connection takes PostgreSQL a moment to clear away, on a busy machine seconds; one that stays longer was not closed. */
async function connectionsLeft(client: Client, name: string): Promise<string[]> {
  for (const end = performance.now() + 60_000; ; ) {
    const { rows } = await client.query<{ description: string }>(
      `SELECT concat_ws(' ', usename, application_name, state, left(query, 60)) AS description
         FROM pg_stat_activity WHERE datname = $1`,
      [name],
    );
    if (rows.length === 0 || performance.now() > end) return rows.map((row) => row.description);
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
}
