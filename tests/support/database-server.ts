// The PostgreSQL server of one test run, in a process of its own so that no test can hold it up. Prints one line of
// JSON when it is ready, lives until its standard input ends, and takes everything with it when it goes.
import { randomBytes } from 'node:crypto';
import { Client } from 'pg';
import { migrateDatabase, prepareDatabase } from '#database/migrate';
import { databaseRoles, type DatabaseRole, type RolePasswords } from '#database/roles';
import { startTemporaryPostgres } from '#runtime/embedded-postgres';
import { TEMPLATE_NAME, type TestServer } from './test-server';

async function main(): Promise<void> {
  const postgres = await startTemporaryPostgres();
  try {
    const passwords = randomPasswords();
    const urls = await prepareDatabase({ superuserUrl: postgres.superuserUrl, database: TEMPLATE_NAME, passwords });
    await migrateDatabase({ ownerUrl: urls.owner });
    await asSuperuser(postgres.superuserUrl, (client) => client.query(`ALTER DATABASE ${TEMPLATE_NAME} IS_TEMPLATE true ALLOW_CONNECTIONS false`));

    const server: TestServer = { superuserUrl: postgres.superuserUrl, passwords };
    process.stdout.write(`${JSON.stringify(server)}\n`);
    await endOfInput();

    const left = await asSuperuser(postgres.superuserUrl, async (client) => {
      const { rows } = await client.query<{ name: string }>(`SELECT datname AS name FROM pg_database WHERE datname LIKE 'test\\_%'`);
      return rows.map((row) => row.name);
    });
    if (left.length > 0) {
      process.stderr.write(`These test databases were not dropped: ${left.join(', ')}\n`);
      process.exitCode = 1;
    }
  } finally {
    await postgres.stop();
  }
}

function randomPasswords(): RolePasswords {
  return Object.fromEntries(databaseRoles.map((role) => [role, randomBytes(12).toString('hex')])) as Record<DatabaseRole, string>;
}

async function asSuperuser<Value>(url: string, work: (client: Client) => Promise<Value>): Promise<Value> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}

function endOfInput(): Promise<void> {
  return new Promise((resolve) => {
    process.stdin.on('end', resolve).on('close', resolve).resume();
  });
}

void main().catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.stack : String(error)}\n`);
  process.exitCode = 1;
});
