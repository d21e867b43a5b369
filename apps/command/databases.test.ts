import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readCommandConfiguration, type CommandConfiguration } from '#runtime/configuration';
import { startTemporaryPostgres, type EmbeddedPostgres } from '#runtime/embedded-postgres';
import { onConnection, openDatabases } from './databases';

let directory: string;
let server: EmbeddedPostgres;
beforeAll(async () => {
  server = await startTemporaryPostgres();
});
afterAll(async () => server.stop());
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-databases-'));
  chmodSync(directory, 0o755);
});
afterEach(() => rmSync(directory, { recursive: true, force: true }));

function configured(environment: Record<string, string> = {}): CommandConfiguration {
  const read = readCommandConfiguration({ DATA_DIRECTORY: directory, ...environment });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
}

function onServer(name: string, credentials: { user?: string; password?: string } = {}): string {
  const url = new URL(server.superuserUrl);
  url.pathname = `/${name}`;
  if (credentials.user !== undefined) [url.username, url.password] = [credentials.user, credentials.password ?? ''];
  return url.toString();
}

const userAt = async (url: string): Promise<unknown> =>
  (await onConnection(url, (client) => client.query<{ user: string; database: string }>('SELECT current_user AS user, current_database() AS database'))).rows[0];

it('opens the embedded database with a role and a remembered password each', async () => {
  const databases = await openDatabases(configured());
  await databases.migrate();
  for (const role of ['owner', 'app', 'relay', 'reader', 'backup'] as const) {
    expect(await userAt(databases.urlFor(role))).toEqual({ user: `latchledger_${role}`, database: 'latchledger' });
  }
  const appUrl = databases.urlFor('app');
  await databases.close();
  const passwordFile = join(directory, 'keys', 'role-passwords.json');
  expect(statSync(passwordFile).mode & 0o777).toBe(0o600);
  expect(readFileSync(passwordFile, 'utf8')).toContain(new URL(appUrl).password);

  const again = await openDatabases(configured());
  expect(again.urlFor('app')).toBe(appUrl);
  await again.close();
});

it('makes database and roles on a server where it is a superuser, with the passwords that were given', async () => {
  const app = onServer('made', { user: 'latchledger_app', password: 'given-for-app' });
  const databases = await openDatabases(configured({ DATABASE_URL: onServer('made'), APP_DATABASE_URL: app }), { setsUp: true });
  expect((await databases.migrate()).applied.length).toBeGreaterThan(0);
  expect(await userAt(app)).toEqual({ user: 'latchledger_app', database: 'made' });
  expect(await userAt(databases.urlFor('backup'))).toEqual({ user: 'latchledger_backup', database: 'made' });
});

it('leaves the passwords alone that running processes use, unless it sets an installation up', async () => {
  const running = await openDatabases(configured({ DATABASE_URL: onServer('shared') }), { setsUp: true });
  const elsewhere = mkdtempSync(join(tmpdir(), 'latchledger-databases-'));
  const other = await openDatabases(configured({ DATABASE_URL: onServer('shared'), DATA_DIRECTORY: elsewhere }));
  rmSync(elsewhere, { recursive: true, force: true });
  expect(await userAt(running.urlFor('app'))).toMatchObject({ user: 'latchledger_app' });
  await expect(userAt(other.urlFor('app'))).rejects.toThrow('password authentication failed');
});

it('works as the owner where it is no superuser, and names the address that it lacks', async () => {
  const made = await openDatabases(configured({ DATABASE_URL: onServer('owned') }), { setsUp: true });
  const databases = await openDatabases(configured({ DATABASE_URL: made.urlFor('owner'), APP_DATABASE_URL: made.urlFor('app') }), { setsUp: true });
  expect((await databases.migrate()).applied.length).toBeGreaterThan(0);
  expect(await userAt(databases.urlFor('app'))).toMatchObject({ user: 'latchledger_app' });
  expect(() => databases.urlFor('backup')).toThrow('BACKUP_DATABASE_URL is missing');
  expect(() => databases.superuserUrl()).toThrow('needs a superuser');
});

it('says that the server cannot be used, without its password', async () => {
  const attempt = openDatabases(configured({ DATABASE_URL: onServer('made', { user: 'postgres', password: 'wrong-secret' }) }));
  await expect(attempt).rejects.toThrow('The server of DATABASE_URL cannot be used: password authentication failed');
  await attempt.catch((error: Error) => expect(error.message).not.toContain('wrong-secret'));
  await expect(openDatabases(configured({ DATABASE_URL: 'postgres://u:p@127.0.0.1:1/x' }))).rejects.toThrow('ECONNREFUSED');
  expect(existsSync(join(directory, 'postgres'))).toBe(false);
});
