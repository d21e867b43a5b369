import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { parse } from 'yaml';
import { readApiConfiguration, readCommandConfiguration, readWorkerConfiguration } from '#runtime/configuration';
import { startTemporaryPostgres, type EmbeddedPostgres } from '#runtime/embedded-postgres';
import { VARIABLES } from '#runtime/variables';
import { describeWithProgram } from '#tests/support/outside-program';
import { freePort } from '#tests/support/free-port';
import { startRedisServer } from '#tests/support/redis-server';
import { onConnection } from './databases';

const root = join(__dirname, '../..');

type Service = {
  image?: string;
  build?: { dockerfile_inline: string };
  command?: string[];
  environment?: Record<string, string>;
  secrets?: string[];
  ports?: string[];
  networks?: string[];
  healthcheck?: object;
  restart?: string;
  depends_on?: Record<string, { condition: string }>;
  container_name?: string;
  profiles?: string[];
  volumes?: string[];
};
type Compose = {
  services: Record<string, Service>;
  secrets: Record<string, { file: string }>;
  networks: Record<string, { internal?: boolean }>;
  volumes: Record<string, object>;
};

const compose = parse(readFileSync(join(root, 'docker-compose.yml'), 'utf8'), { merge: true }) as Compose;
const own = Object.entries(compose.services).filter(([, service]) => service.build);

/** As compose puts variables in: `${NAME:-default}`, and `${NAME-default}`, which leaves an empty value empty. */
function interpolate(text: string, variables: Record<string, string>): string {
  return text.replace(/\$\{(\w+)(:?)-([^}]*)\}/g, (_all, name: string, colon: string, fallback: string) => {
    const value = variables[name];
    return value === undefined || (colon === ':' && value === '') ? fallback : value;
  });
}

function environmentOf(name: string, variables: Record<string, string> = {}): Record<string, string> {
  const entries = Object.entries(compose.services[name]?.environment ?? {});
  return Object.fromEntries(entries.map(([key, value]) => [key, interpolate(value, variables)]));
}

describe('docker-compose.yml', () => {
  it('brings PostgreSQL 18, Redis, a migration, an api and a worker', () => {
    expect(Object.keys(compose.services).sort()).toEqual(['api', 'backup', 'migrate', 'postgres', 'redis', 'worker']);
    expect(compose.services['postgres']?.image).toBe('postgres:18');
  });

  it('opens no port but the api\'s, and lets nobody reach database and queue from elsewhere', () => {
    expect(Object.entries(compose.services).filter(([, { ports }]) => ports).map(([name]) => name)).toEqual(['api']);
    expect(interpolate(compose.services['api']?.ports?.[0] ?? '', {})).toBe('127.0.0.1:4800:4800');
    expect(compose.networks['inside']).toEqual({ internal: true });
    for (const name of ['postgres', 'redis', 'migrate', 'backup']) expect(compose.services[name]?.networks).toEqual(['inside']);
  });

  it('can run many workers', () => {
    expect(compose.services['worker']).not.toHaveProperty('container_name');
    expect(compose.services['worker']).not.toHaveProperty('ports');
  });

  it('starts in order, and knows of everything that stays whether it is well', () => {
    expect(compose.services['migrate']?.depends_on).toEqual({ postgres: { condition: 'service_healthy' } });
    for (const name of ['api', 'worker']) {
      expect(compose.services[name]?.depends_on).toEqual({
        migrate: { condition: 'service_completed_successfully' },
        redis: { condition: 'service_healthy' },
      });
    }
    for (const [name, { healthcheck, restart }] of Object.entries(compose.services)) {
      expect([name, Boolean(healthcheck)]).toEqual([name, restart !== 'no']);
    }
  });

  it('defines every secret, volume and network that it uses, and keeps the secrets out of the repository', () => {
    for (const service of Object.values(compose.services)) {
      for (const secret of service.secrets ?? []) expect(Object.keys(compose.secrets)).toContain(secret);
      for (const volume of service.volumes ?? []) expect(Object.keys(compose.volumes)).toContain(volume.split(':')[0]);
      for (const network of service.networks ?? []) expect(Object.keys(compose.networks)).toContain(network);
      for (const value of Object.values(service.environment ?? {})) {
        const secret = /^\/run\/secrets\/(.+)$/.exec(value)?.[1];
        if (secret !== undefined) expect(service.secrets).toContain(secret);
        if (URL.canParse(value)) expect(new URL(value).password).toBe('');
      }
    }
    for (const { file } of Object.values(compose.secrets)) {
      expect(spawnSync('git', ['check-ignore', '--quiet', file], { cwd: root }).status ?? 0).toBe(0);
      expect(readFileSync(join(root, '.dockerignore'), 'utf8').split('\n')).toContain(file.split('/')[0]);
    }
  });

  it('runs programs that exist, unprivileged, and gives the master key to those alone that seal', () => {
    for (const [, { command, ...service }] of own) {
      expect(service).toMatchObject({ user: '1000:1000', read_only: true, cap_drop: ['ALL'] });
      const source = (command?.[1] ?? '').replace(/^dist\//, '').replace(/\.js$/, '.ts');
      expect(existsSync(join(root, source))).toBe(true);
    }
    expect(own.filter(([, { secrets }]) => secrets?.includes('master-key')).map(([name]) => name).sort()).toEqual(['api', 'worker']);
    expect(own.filter(([, { secrets }]) => secrets?.includes('postgres-password')).map(([name]) => name)).toEqual(['migrate']);
  });

  it('copies into the image only what the repository has', () => {
    const recipe = own[0]?.[1].build?.dockerfile_inline ?? '';
    const copied = [...recipe.matchAll(/^COPY ([^-].*) \S+$/gm)].flatMap(([, sources]) => sources?.split(' ') ?? []);
    expect(copied).toContain('package-lock.json');
    for (const source of copied) expect(existsSync(join(root, source))).toBe(true);
  });

  it('sends mails by SMTP when that is set, and then only so', () => {
    expect(environmentOf('worker')).toMatchObject({ MAIL_DIRECTORY: '/mail', SMTP_URL: '' });
    expect(environmentOf('worker', { SMTP_URL: 'smtp://mail', MAIL_DIRECTORY: '' })).toMatchObject({ MAIL_DIRECTORY: '', SMTP_URL: 'smtp://mail' });
  });

  it.each([['api', readApiConfiguration], ['worker', readWorkerConfiguration]] as const)('hands on to the %s every variable that it reads', (name, read) => {
    const asked = new Set<string>();
    // With an address of its own a worker asks for no port of the api, and without mails by SMTP nobody for their sender.
    const given: Record<string, string> = { PUBLIC_URL: 'https://ledger.example', SMTP_URL: 'smtp://mail.example' };
    read(new Proxy(given, { get: (_none, variable) => (asked.add(String(variable)), given[String(variable)]) }));
    expect([...asked].filter((variable) => !(variable in environmentOf(name)))).toEqual([]);
    // What the file itself says is not for whoever starts it to say; the rest is handed on as it is.
    const said = Object.fromEntries(Object.keys(VARIABLES).map((variable) => [variable, `said of ${variable}`]));
    const fixed = Object.entries(environmentOf(name, said)).filter(([variable, value]) => value !== said[variable]);
    expect(fixed.map(([variable]) => variable).sort()).toEqual([
      'APP_DATABASE_PASSWORD_FILE', 'APP_DATABASE_URL', 'HOST', 'MASTER_KEY_FILE', 'REDIS_URL',
      ...(name === 'api' ? ['PORT'] : ['RELAY_DATABASE_PASSWORD_FILE', 'RELAY_DATABASE_URL', 'WORKER_PORT']),
    ].sort());
  });
});

// There is no Docker engine where the tests run: the same environments, against servers of the same kind.
describeWithProgram('redis-server', 'redis-server', () => {
  let directory: string;
  let postgres: EmbeddedPostgres;
  let redis: Awaited<ReturnType<typeof startRedisServer>>;
  beforeAll(async () => {
    directory = mkdtempSync(join(tmpdir(), 'latchledger-compose-'));
    [postgres, redis] = [await startTemporaryPostgres(), await startRedisServer()];
    for (const name of Object.keys(compose.secrets)) writeFileSync(join(directory, name), `${'0123456789abcdef'.repeat(3)}\n`, { mode: 0o600 });
    writeFileSync(join(directory, 'master-key'), `${Buffer.alloc(32, 9).toString('base64')}\n`);
    writeFileSync(join(directory, 'postgres-password'), new URL(postgres.superuserUrl).password);
  });
  afterAll(async () => {
    await redis.stop();
    await postgres.stop();
    rmSync(directory, { recursive: true, force: true });
  });

  /** The environment of a service, its hosts replaced by the servers of this test. */
  function here(name: string): Record<string, string> {
    const replace = (value: string): string =>
      value
        .replace('postgres:5432', new URL(postgres.superuserUrl).host)
        .replace('redis://redis:6379', redis.url)
        .replace(/^\/(?:run\/secrets|tmp|mail|backups)\b/, directory);
    return Object.fromEntries(Object.entries(environmentOf(name)).map(([key, value]) => [key, replace(value)]));
  }

  const program = (path: string): string[] => ['-C', 'src', '-r', '@swc-node/register', join(root, path)];
  const runToEnd = (path: string, environment: Record<string, string>): { status: number | null; output: string } => {
    const { status, stdout, stderr } = spawnSync(process.execPath, program(path), {
      cwd: root,
      env: { PATH: process.env['PATH'], ...environment },
      encoding: 'utf8',
    });
    return { status, output: stdout + stderr };
  };

  it('every environment is one that the program accepts', () => {
    for (const read of [readApiConfiguration(here('api')), readWorkerConfiguration(here('worker')), readCommandConfiguration(here('migrate')), readCommandConfiguration(here('backup'))]) {
      expect(read).toMatchObject({ ok: true });
    }
  });

  it('migrates with the secrets of each role, serves, and backs up', async () => {
    const migrated = runToEnd('apps/command/migrate.ts', here('migrate'));
    expect(migrated).toMatchObject({ status: 0, output: expect.stringContaining('up to date') });
    const worker = readWorkerConfiguration(here('worker'));
    if (!worker.ok) throw new Error('refused');
    for (const url of [worker.value.databaseUrl, worker.value.relayDatabaseUrl]) await onConnection(url, (client) => client.query('SELECT 1'));

    const port = await freePort();
    const api = spawn(process.execPath, program('apps/api/main.ts'), {
      cwd: root,
      env: { PATH: process.env['PATH'], ...here('api'), HOST: '127.0.0.1', PORT: String(port) },
      stdio: 'ignore',
    });
    try {
      let status = 0;
      for (const end = performance.now() + 60_000; performance.now() < end && status !== 200 && api.exitCode === null; ) {
        await pause(50);
        status = await fetch(`http://127.0.0.1:${port}/health/ready`).then((answer) => answer.status, () => 0);
      }
      expect(status).toBe(200);
    } finally {
      const gone = new Promise((resolve) => api.once('exit', resolve));
      if (api.exitCode === null) {
        api.kill('SIGTERM');
        await gone;
      }
    }
    expect(runToEnd('apps/command/backup.ts', here('backup'))).toMatchObject({ status: 0, output: expect.stringContaining('Backed up') });
  }, 240_000);
});
