import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readStartConfiguration, type StartConfiguration } from '#runtime/configuration';
import { startTemporaryPostgres } from '#runtime/embedded-postgres';
import { readMasterKeyFile } from '#runtime/master-key-file';
import { masterKeyFrom, seal, type SecretKey } from '#runtime/secrets-at-rest';
import { freePort } from '#tests/support/free-port';
import { onConnection, openDatabases } from './databases';
import type { SeedDemo } from './demo-data';
import { startInstallation, type Installation, type InstallationOptions } from './installation';

// Stand-ins that only say what they were given; the real programs are tried in tests/ as a whole.
const WRITE_ENVIRONMENT = `console.log(JSON.stringify(process.env));`;
const API = `${WRITE_ENVIRONMENT}
  const server = require('node:http').createServer((request, response) => response.end('ok')).listen(process.env.PORT, process.env.HOST ?? '127.0.0.1', () => process.send({ kind: 'ready' }));
  process.on('SIGTERM', () => { console.log('closed'); process.exit(0); });`;
const WORKER = `${WRITE_ENVIRONMENT} setInterval(() => {}, 1000); process.on('SIGTERM', () => process.exit(0)); process.send({ kind: 'ready' });`;

let directory: string;
let toClose: (() => Promise<void>)[];
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-installation-'));
  // The database's account has to pass, or its files would be put elsewhere.
  chmodSync(directory, 0o755);
  toClose = [];
});
afterEach(async () => {
  await closeAll();
  rmSync(directory, { recursive: true, force: true });
});

async function closeAll(): Promise<void> {
  for (const close of toClose.splice(0).reverse()) await close();
}

function program(name: string, body: string): string {
  const path = join(directory, `${name}.cjs`);
  writeFileSync(path, body);
  return path;
}

async function environmentWith(more: Record<string, string> = {}): Promise<Record<string, string>> {
  return { PATH: process.env['PATH'] ?? '', PORT: String(await freePort()), DATA_DIRECTORY: join(directory, 'data'), ...more };
}

function configured(environment: Record<string, string>): StartConfiguration {
  const read = readStartConfiguration(environment);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
}

async function start(environment: Record<string, string>, more: Partial<InstallationOptions> = {}): Promise<Installation> {
  return startInstallation(
    {
      configuration: configured(environment),
      environment,
      seedDemo: undefined,
      log: () => undefined,
      onLost: (reason) => {
        throw new Error(reason);
      },
      programs: { api: program('api', API), worker: program('worker', WORKER) },
      ...more,
    },
    toClose,
  );
}

const environmentOf = (name: string): Record<string, string> =>
  JSON.parse(readFileSync(join(directory, 'data', 'logs', `${name}.log`), 'utf8').split('\n')[0] ?? '') as Record<string, string>;

it('brings up database, key and processes, and keeps them for the next start', async () => {
  const environment = await environmentWith({ LOG_LEVEL: 'warn' });
  const installation = await start(environment);
  expect(installation).toMatchObject({ url: `http://127.0.0.1:${environment['PORT']}`, signIns: [], isEmpty: true });
  const key = readFileSync(join(directory, 'data', 'keys', 'master.key'), 'utf8');
  const appUrl = environmentOf('api')['APP_DATABASE_URL'] ?? '';
  await closeAll();
  await expect(onConnection(appUrl, (client) => client.query('SELECT 1'))).rejects.toThrow();

  await start(environment);
  expect(readFileSync(join(directory, 'data', 'keys', 'master.key'), 'utf8')).toBe(key);
  expect(environmentOf('api')['APP_DATABASE_URL']).toBe(appUrl);
});

it('gives each process what it needs, and no role that it is not', async () => {
  await start(await environmentWith({ LOG_LEVEL: 'warn', PGPASSWORD: 'of somebody' }));
  const [api, worker] = [environmentOf('api'), environmentOf('worker')];
  expect(api).toMatchObject({ LOG_LEVEL: 'warn', MASTER_KEY_FILE: join(directory, 'data', 'keys', 'master.key'), MAIL_DIRECTORY: join(directory, 'data', 'mail') });
  expect(new URL(api['APP_DATABASE_URL'] ?? '').username).toBe('latchledger_app');
  expect(new URL(worker['RELAY_DATABASE_URL'] ?? '').username).toBe('latchledger_relay');
  expect(Object.keys(api).filter((name) => /DATABASE|^PG/.test(name))).toEqual(['APP_DATABASE_URL']);
  expect(Object.keys(worker).filter((name) => /DATABASE|^PG/.test(name)).sort()).toEqual(['APP_DATABASE_URL', 'RELAY_DATABASE_URL']);
});

it('takes no process for crashed that Ctrl-C ended while another was still closing', async () => {
  const lines: string[] = [];
  // A terminal's Ctrl-C reaches the api as well as us; here it ends as soon as the worker is asked to close.
  const slow = `setInterval(() => {}, 1000); process.on('SIGTERM', () => { process.kill(Number(require('node:fs').readFileSync(${JSON.stringify(join(directory, 'api.pid'))}, 'utf8')), 'SIGINT'); setTimeout(() => process.exit(0), 1500); }); process.send({ kind: 'ready' });`;
  const api = `require('node:fs').writeFileSync(${JSON.stringify(join(directory, 'api.pid'))}, String(process.pid)); process.on('SIGINT', () => process.exit(0)); ${API.replace('process.exit(0)', 'setTimeout(() => process.exit(0), 1000)')}`;
  await start(await environmentWith(), { log: (line) => void lines.push(line), programs: { api: program('ending-api', api), worker: program('slow-worker', slow) } });
  await closeAll();
  expect(lines.filter((line) => line.includes('starting it again'))).toEqual([]);
});

it('says what a process said that did not start', async () => {
  const programs = { api: program('api', API), worker: program('broken', `console.error('RELAY_DATABASE_URL is missing'); process.exit(78);`) };
  await expect(start(await environmentWith(), { programs })).rejects.toThrow('The worker did not start: exit status 78: RELAY_DATABASE_URL is missing');
});

it('says that the port is taken before it touches anything', async () => {
  const environment = await environmentWith();
  const stranger = createServer().listen(Number(environment['PORT']), '127.0.0.1');
  await expect(start(environment)).rejects.toThrow(`Port ${environment['PORT']} on 127.0.0.1 is taken`);
  expect(existsSync(join(directory, 'data'))).toBe(false);
  await new Promise((resolve) => stranger.close(resolve));
});

/** Writes one operator, through the application's role as the real demo does. */
const writeOperator = (appUrl: string, code: string): Promise<unknown> =>
  onConnection(appUrl, (client) =>
    client.query(`SELECT set_config('app.tenant', '0193a000-0000-7000-8000-000000000001', false), set_config('app.actor', 'system:test', false);
      INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper)
      VALUES (app.current_tenant(), '${code}', 'Example', 'US', 'USD', 'en-US', 'America/Chicago', 'Letter')`),
  );

it('makes no new master key where something was sealed under one, and misses the one that is needed', async () => {
  const environment = await environmentWith();
  const keyFile = join(directory, 'data', 'keys', 'master.key');
  await start(environment);
  await writeOperator(environmentOf('api')['APP_DATABASE_URL'] ?? '', 'example');
  const read = readMasterKeyFile(keyFile);
  if (!read.ok) throw new Error(read.message);
  await sealUnder(environment, { dataKeyUnder: read.keys[0].id, factorUnder: read.keys[0] });
  await closeAll();
  const key = readFileSync(keyFile, 'utf8');
  await start(environment);
  await closeAll();

  rmSync(keyFile);
  await expect(start(environment)).rejects.toThrow(/master\.key does not exist.*put its file back/);
  await closeAll();
  const otherKey = masterKeyFrom(Buffer.alloc(32, 5));
  writeFileSync(keyFile, `${otherKey.bytes.toString('base64')}\n`, { mode: 0o600 });
  await expect(start(environment)).rejects.toThrow(`lacks the master key ${read.keys[0].id}`);
  await closeAll();
  writeFileSync(keyFile, `${otherKey.bytes.toString('base64')}\n${key}`, { mode: 0o600 });
  await start(environment);
});

/** Writes a data key and an account's second factor, as the program would. */
async function sealUnder(environment: Record<string, string>, under: { dataKeyUnder: string; factorUnder: SecretKey }): Promise<void> {
  const databases = await openDatabases(configured(environment));
  toClose.push(databases.close);
  const sealed = seal({ plaintext: Buffer.from('secret'), key: under.factorUnder, tenantId: 'account', purpose: 'second factor' });
  await onConnection(databases.superuserUrl(), async (client) => {
    await client.query(`SELECT set_config('app.tenant', '0193a000-0000-7000-8000-000000000001', false), set_config('app.actor', 'system:test', false)`);
    await client.query(`INSERT INTO operator_data_key (tenant_id, wrapped_key, master_key_id) VALUES (app.current_tenant(), '', $1)`, [under.dataKeyUnder]);
    await client.query(
      `INSERT INTO identity.user_account (id, email, email_hash, name, password_hash, password_changed_at, sealed_factor_secret, created_at)
       VALUES (uuidv7(), 'a@example.com', sha256('a'), 'A', '$argon2id$x', now(), $1, now())`,
      [sealed],
    );
  });
}

describe('the demo', () => {
  const signIn = { operator: 'Example', role: 'owner', email: 'owner@example.com', password: 'three green doors' };

  it('is written once, into an empty database, and its sign-ins are shown again', async () => {
    const environment = await environmentWith();
    let times = 0;
    const seedDemo: SeedDemo = async ({ appUrl }) => {
      times += 1;
      expect((await onConnection(appUrl, (client) => client.query('SHOW synchronous_commit'))).rows).toEqual([{ synchronous_commit: 'off' }]);
      await writeOperator(appUrl, 'demo');
      return [signIn];
    };
    expect(await start(environment, { seedDemo })).toMatchObject({ signIns: [signIn], isEmpty: false });
    await closeAll();
    expect(await start(environment, { seedDemo })).toMatchObject({ signIns: [signIn], isEmpty: false });
    expect(times).toBe(1);
  });

  it('is for this machine only', async () => {
    const environment = await environmentWith({ HOST: '0.0.0.0' });
    const seedDemo: SeedDemo = async ({ appUrl }) => {
      await writeOperator(appUrl, 'demo');
      return [signIn];
    };
    expect(await start(environment, { seedDemo })).toMatchObject({ signIns: [], isEmpty: true });
    await closeAll();
    expect(await start({ ...environment, HOST: '127.0.0.1' }, { seedDemo })).toMatchObject({ signIns: [signIn] });
    await closeAll();
    await expect(start(environment, { seedDemo })).rejects.toThrow('for this machine only');
  });

  it('begins anew when it was cut short', async () => {
    const environment = await environmentWith();
    await expect(
      start(environment, {
        seedDemo: async ({ appUrl }) => {
          await writeOperator(appUrl, 'half');
          throw new Error('pulled the plug');
        },
      }),
    ).rejects.toThrow('pulled the plug');
    await closeAll();

    const seedDemo: SeedDemo = async ({ appUrl }) => {
      await writeOperator(appUrl, 'whole');
      return [signIn];
    };
    await start(environment, { seedDemo });
    const codes = await onConnection(environmentOf('api')['APP_DATABASE_URL'] ?? '', (client) =>
      client.query(`SELECT set_config('app.tenant', '0193a000-0000-7000-8000-000000000001', false); SELECT code FROM operator`),
    );
    expect(JSON.stringify(codes)).toContain('"whole"');
    expect(JSON.stringify(codes)).not.toContain('"half"');
  });
});

it('runs on a server of the operator: no demo there, and the key must be somebody\'s', async () => {
  const server = await startTemporaryPostgres();
  toClose.push(server.stop);
  const url = new URL(server.superuserUrl);
  url.pathname = '/books';
  const masterKeyFile = join(directory, 'master.key');
  const environment = await environmentWith({ DATABASE_URL: url.toString(), MASTER_KEY_FILE: masterKeyFile });
  const seedDemo: SeedDemo = async () => {
    throw new Error('never on a server');
  };
  await expect(start(environment, { seedDemo })).rejects.toThrow(/MASTER_KEY_FILE: .*does not exist/);
  await closeServerless();
  writeFileSync(masterKeyFile, `${Buffer.alloc(32, 1).toString('base64')}\n`, { mode: 0o600 });
  expect(await start(environment, { seedDemo })).toMatchObject({ signIns: [], isEmpty: undefined });
  expect(environmentOf('api')).toMatchObject({ APP_DATABASE_URL: expect.stringMatching(/^postgres:\/\/latchledger_app:.*\/books$/) });
});

/** Closes what the last start opened, but not the server that the test itself started. */
async function closeServerless(): Promise<void> {
  for (const close of toClose.splice(1).reverse()) await close();
}
