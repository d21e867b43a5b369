// The PostgreSQL server of one test run, in a process of its own so that no test can hold it up. Prints one line of
// JSON when it is ready, lives until its standard input ends, and takes everything with it when it goes.
import { onConnection } from './connection';
import { withMigratedServer, type MigratedServer } from './migrated-server';
import { TEMPLATE_NAME, type TestServer } from './test-server';

async function serveUntilEndOfInput({ superuserUrl, passwords }: MigratedServer): Promise<void> {
  await onConnection(superuserUrl, (client) => client.query(`ALTER DATABASE ${TEMPLATE_NAME} IS_TEMPLATE true ALLOW_CONNECTIONS false`));
  const server: TestServer = { superuserUrl, passwords };
  process.stdout.write(`${JSON.stringify(server)}\n`);
  await endOfInput();

  const left = await onConnection(superuserUrl, async (client) => {
    const { rows } = await client.query<{ name: string }>(`SELECT datname AS name FROM pg_database WHERE datname LIKE 'test\\_%'`);
    return rows.map((row) => row.name);
  });
  if (left.length > 0) throw new Error(`These test databases were not dropped: ${left.join(', ')}`);
}

function endOfInput(): Promise<void> {
  return new Promise((resolve) => {
    process.stdin.on('end', resolve).on('close', resolve).resume();
  });
}

void withMigratedServer(serveUntilEndOfInput).catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.stack : String(error)}\n`);
  process.exitCode = 1;
});
