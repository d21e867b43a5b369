import { spawn, type ChildProcess } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { Client } from 'pg';
import { until } from '#tests/support/until';
import { startEmbeddedPostgres, startTemporaryPostgres, type EmbeddedPostgres } from './embedded-postgres';

const isRoot = process.getuid?.() === 0;
const NOBODY = 65_534;

const cleanups: (() => void | Promise<void>)[] = [];
afterEach(async () => {
  for (const cleanup of cleanups.splice(0).reverse()) await cleanup();
});

/** A new directory that any account may enter, removed after the test. */
function newDirectory(): string {
  const directory = mkdtempSync(join(tmpdir(), 'latchledger-supervisor-'));
  chmodSync(directory, 0o755);
  cleanups.push(() => rmSync(directory, { recursive: true, force: true }));
  return directory;
}

async function start(dataDirectory: string): Promise<EmbeddedPostgres> {
  const server = await startEmbeddedPostgres({ dataDirectory });
  cleanups.push(() => server.stop());
  return server;
}

async function query<Row extends object>(url: string, text: string): Promise<Row[]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query<Row>(text)).rows;
  } finally {
    await client.end();
  }
}

/** A process of its own that starts the server, prints its address and waits to be killed. */
async function startInProcess(
  call: string,
  identity: { uid?: number; gid?: number } = {},
): Promise<{ child: ChildProcess; url: string }> {
  const script = `
    const postgres = require(${JSON.stringify(join(__dirname, 'embedded-postgres.ts'))});
    postgres.${call}.then(
      (server) => { process.stdout.write(server.superuserUrl + '\\n'); setInterval(() => {}, 1000); process.on('SIGTERM', () => server.stop().then(() => process.exit(0))); },
      (error) => { process.stderr.write(String(error.stack)); process.exit(1); });`;
  const child = spawn(process.execPath, ['-C', 'src', '-r', '@swc-node/register', '-e', script], {
    ...identity,
    cwd: join(__dirname, '../..'),
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  cleanups.push(() => void child.kill('SIGKILL'));
  let complaint = '';
  child.stderr.on('data', (chunk: Buffer) => (complaint += chunk.toString()));
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout.once('data', (chunk: Buffer) => resolve(chunk.toString().trim()));
    child.once('exit', (code) => reject(new Error(`ended with ${code}: ${complaint}`)));
  });
  return { child, url };
}

async function killAndWait(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  const gone = new Promise((resolve) => child.once('exit', resolve));
  child.kill(signal);
  await gone;
}

function clusterOf(dataDirectory: string): string {
  return join(dataDirectory, 'server', 'cluster');
}

function postmasterPid(dataDirectory: string): number {
  return Number(readFileSync(join(clusterOf(dataDirectory), 'postmaster.pid'), 'utf8').split('\n')[0]);
}

const refusesConnections = async (url: string): Promise<boolean> => query(url, 'SELECT 1').then(() => false, () => true);

describe('a server that is kept', () => {
  it('is PostgreSQL 18 behind a password, on the loopback address only', async () => {
    const dataDirectory = newDirectory();
    const { superuserUrl } = await start(dataDirectory);
    const rows = await query(
      superuserUrl,
      `SELECT current_setting('server_version_num')::int / 10000 AS major, current_setting('listen_addresses') AS addresses,
              current_setting('password_encryption') AS passwords, current_setting('fsync') AS fsync`,
    );
    expect(rows).toEqual([{ major: 18, addresses: '127.0.0.1', passwords: 'scram-sha-256', fsync: 'on' }]);
    expect(statSync(join(dataDirectory, 'server', 'superuser-password')).mode & 0o777).toBe(0o600);
    const wrongPassword = superuserUrl.replace(/:[^:@]+@/, ':wrong@');
    await expect(query(wrongPassword, 'SELECT 1')).rejects.toThrow('password authentication failed');
  });

  it('keeps its data, its password and its port from one start to the next', async () => {
    const dataDirectory = newDirectory();
    const first = await start(dataDirectory);
    await query(first.superuserUrl, 'CREATE TABLE kept AS SELECT 42 AS answer');
    await first.stop();
    await first.stop();
    expect(existsSync(join(clusterOf(dataDirectory), 'postmaster.pid'))).toBe(false);

    const second = await start(dataDirectory);
    expect(second.superuserUrl).toBe(first.superuserUrl);
    expect(await query(second.superuserUrl, 'SELECT answer FROM kept')).toEqual([{ answer: 42 }]);
  });

  it('moves to another port when a stranger listens on the one it had', async () => {
    const dataDirectory = newDirectory();
    const first = await start(dataDirectory);
    await first.stop();
    const stranger = createServer().listen(Number(new URL(first.superuserUrl).port), '127.0.0.1');
    cleanups.push(() => void stranger.close());

    const second = await start(dataDirectory);
    expect(new URL(second.superuserUrl).port).not.toBe(new URL(first.superuserUrl).port);
    expect(await query(second.superuserUrl, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it('runs on while somebody uses it and stops with the last one', async () => {
    const dataDirectory = newDirectory();
    const first = await start(dataDirectory);
    const second = await start(dataDirectory);
    expect(second.superuserUrl).toBe(first.superuserUrl);
    await first.stop();
    expect(await query(second.superuserUrl, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
    await second.stop();
    expect(await refusesConnections(second.superuserUrl)).toBe(true);
  });

  it('says once that the server went away', async () => {
    const dataDirectory = newDirectory();
    const reasons: Error[] = [];
    const server = await startEmbeddedPostgres({ dataDirectory, onLost: (reason) => reasons.push(reason) });
    process.kill(postmasterPid(dataDirectory), 'SIGINT');
    await until(() => reasons.length > 0 && !existsSync(join(clusterOf(dataDirectory), 'postmaster.pid')));
    await server.stop();
    expect(reasons).toHaveLength(1);
  });
});

describe('starts that meet trouble', () => {
  it('two first starts at the same moment end up on one cluster', async () => {
    const dataDirectory = newDirectory();
    const call = `startEmbeddedPostgres({ dataDirectory: ${JSON.stringify(dataDirectory)} })`;
    const [one, other] = await Promise.all([startInProcess(call), startInProcess(call)]);
    expect(other.url).toBe(one.url);
    await query(one.url, 'SELECT 1');
    await killAndWait(one.child, 'SIGTERM');
    await killAndWait(other.child, 'SIGTERM');
    await until(() => refusesConnections(one.url));
  });

  it('uses the server again that a killed process left behind', async () => {
    const dataDirectory = newDirectory();
    const { child, url } = await startInProcess(`startEmbeddedPostgres({ dataDirectory: ${JSON.stringify(dataDirectory)} })`);
    await query(url, 'CREATE TABLE kept AS SELECT 42 AS answer');
    const orphan = postmasterPid(dataDirectory);
    await killAndWait(child, 'SIGKILL');

    const server = await start(dataDirectory);
    expect(postmasterPid(dataDirectory)).toBe(orphan);
    expect(await query(server.superuserUrl, 'SELECT answer FROM kept')).toEqual([{ answer: 42 }]);
    await server.stop();
    expect(await refusesConnections(url)).toBe(true);
  });

  it('recovers when the server was killed as well', async () => {
    const dataDirectory = newDirectory();
    const { child, url } = await startInProcess(`startEmbeddedPostgres({ dataDirectory: ${JSON.stringify(dataDirectory)} })`);
    await query(url, 'CREATE TABLE kept AS SELECT 42 AS answer');
    process.kill(postmasterPid(dataDirectory), 'SIGKILL');
    await killAndWait(child, 'SIGKILL');
    expect(existsSync(join(clusterOf(dataDirectory), 'postmaster.pid'))).toBe(true);

    const server = await start(dataDirectory);
    expect(await query(server.superuserUrl, 'SELECT answer FROM kept')).toEqual([{ answer: 42 }]);
  });

  it('is not stopped by a process id that another program of the same account has got since', async () => {
    const dataDirectory = newDirectory();
    await (await start(dataDirectory)).stop();
    const owner = statSync(clusterOf(dataDirectory));
    const bystander = spawn('sleep', ['60'], isRoot ? { uid: owner.uid, gid: owner.gid } : {});
    cleanups.push(() => void bystander.kill('SIGKILL'));
    const pidFile = join(clusterOf(dataDirectory), 'postmaster.pid');
    writeFileSync(pidFile, `${bystander.pid}\n${clusterOf(dataDirectory)}\n1700000000\n20001\n\n127.0.0.1\n  1 1\nready   \n`);
    if (isRoot) chownSync(pidFile, owner.uid, owner.gid);

    const server = await start(dataDirectory);
    expect(await query(server.superuserUrl, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
    expect(bystander.exitCode).toBeNull();
  });

  it('clears away what a start that was killed while initialising left', async () => {
    const dataDirectory = newDirectory();
    const abandoned = join(dataDirectory, 'initialising-abandoned');
    mkdirSync(abandoned);
    writeFileSync(join(abandoned, 'file'), '');
    utimesSync(abandoned, new Date('2020-01-01'), new Date('2020-01-01'));
    await start(dataDirectory);
    expect(existsSync(abandoned)).toBe(false);
  });

  it('reports what the server said when it cannot start', async () => {
    const dataDirectory = newDirectory();
    await (await start(dataDirectory)).stop();
    rmSync(join(clusterOf(dataDirectory), 'global', 'pg_control'));
    await expect(startEmbeddedPostgres({ dataDirectory })).rejects.toThrow(/did not start: .*pg_control/s);
  });
});

describe('accounts', () => {
  it('serves a plain user', async () => {
    const dataDirectory = newDirectory();
    if (isRoot) chownSync(dataDirectory, NOBODY, NOBODY);
    const { child, url } = await startInProcess(
      `startEmbeddedPostgres({ dataDirectory: ${JSON.stringify(dataDirectory)} })`,
      isRoot ? { uid: NOBODY, gid: NOBODY } : {},
    );
    expect(await query(url, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
    expect(statSync(clusterOf(dataDirectory)).uid).toBe(isRoot ? NOBODY : process.getuid?.());
    await killAndWait(child, 'SIGTERM');

    // Somebody tries it with sudo, and goes back: the files stay their owner's.
    const asSomebodyElse = await start(dataDirectory);
    expect(asSomebodyElse.superuserUrl).toBe(url);
    expect(statSync(clusterOf(dataDirectory)).uid).toBe(isRoot ? NOBODY : process.getuid?.());
  });

  it('serves a checkout below a private home directory', async () => {
    const home = newDirectory();
    chmodSync(home, 0o700);
    const dataDirectory = join(home, 'checkout', 'data');
    const said: string[] = [];
    cleanups.push(() => removeRelocated(dataDirectory));
    const first = await startEmbeddedPostgres({ dataDirectory, log: (message) => said.push(message) });
    await query(first.superuserUrl, 'CREATE TABLE kept AS SELECT 42 AS answer');
    await first.stop();
    const second = await start(dataDirectory);
    expect(await query(second.superuserUrl, 'SELECT answer FROM kept')).toEqual([{ answer: 42 }]);
    // Root's database account cannot enter the home; an ordinary user's server runs as that user.
    expect(existsSync(join(dataDirectory, 'location.json'))).toBe(isRoot);
    expect(said.some((message) => message.includes('its account cannot enter'))).toBe(isRoot);
    await second.stop();
  });

  it('gives a copied checkout a cluster of its own', async () => {
    const home = newDirectory();
    chmodSync(home, 0o700);
    const [original, copy] = [join(home, 'original'), join(home, 'copy')];
    cleanups.push(() => removeRelocated(original), () => removeRelocated(copy));
    const first = await start(original);
    mkdirSync(copy);
    if (isRoot) writeFileSync(join(copy, 'location.json'), readFileSync(join(original, 'location.json')));
    const second = await start(copy);
    expect(second.superuserUrl).not.toBe(first.superuserUrl);
    await first.stop();
    await second.stop();
  });
});

function removeRelocated(dataDirectory: string): void {
  const note = join(dataDirectory, 'location.json');
  if (!existsSync(note)) return;
  const { serverParent } = JSON.parse(readFileSync(note, 'utf8')) as { serverParent: string };
  rmSync(serverParent, { recursive: true, force: true });
}

describe('a temporary server', () => {
  it('is fast, not durable, and leaves nothing behind', async () => {
    const server = await startTemporaryPostgres();
    const [row] = await query<{ directory: string; fsync: string }>(
      server.superuserUrl,
      `SELECT current_setting('data_directory') AS directory, current_setting('fsync') AS fsync`,
    );
    expect(row?.fsync).toBe('off');
    const temporaryDirectory = dirname(dirname(row?.directory ?? ''));
    expect(existsSync(temporaryDirectory)).toBe(true);
    await server.stop();
    expect(existsSync(temporaryDirectory)).toBe(false);
  });

  it('ends when the process that started it is killed', async () => {
    const { child, url } = await startInProcess('startTemporaryPostgres()');
    const [row] = await query<{ directory: string }>(url, `SELECT current_setting('data_directory') AS directory`);
    cleanups.push(() => rmSync(dirname(dirname(row?.directory ?? '')), { recursive: true, force: true }));
    await killAndWait(child, 'SIGKILL');
    await until(() => refusesConnections(url));
    await until(() => !existsSync(join(row?.directory ?? '', 'PG_VERSION')));
  });
});
