import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { describeProblems, readApiConfiguration, readCommandConfiguration, readStartConfiguration, readWorkerConfiguration } from './configuration';

let directory: string;
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'latchledger-configuration-'))));
afterEach(() => rmSync(directory, { recursive: true, force: true }));

const api = { APP_DATABASE_URL: 'postgres://latchledger_app:pw@db/latchledger', MASTER_KEY_FILE: '/run/secrets/master_key' };

it('needs little more than the database and the key on a server, and binds to this machine only', () => {
  expect(readApiConfiguration(api)).toEqual({
    ok: true,
    value: {
      logLevel: 'info',
      host: '127.0.0.1',
      port: 4800,
      publicUrl: 'http://127.0.0.1:4800',
      databaseUrl: 'postgres://latchledger_app:pw@db/latchledger',
      masterKeyFile: '/run/secrets/master_key',
      redisUrl: undefined,
      webhookNetworks: [],
      mail: { kind: 'directory', directory: resolve('data/mail') },
      trustedProxies: 0,
      metricsToken: undefined,
      requestsPerMinute: 600,
      guessesPerMinute: 20,
      costlyPerMinute: 30,
      databasePoolSize: 20,
    },
  });
});

it('takes what is set', () => {
  const read = readWorkerConfiguration({
    ...api,
    RELAY_DATABASE_URL: 'postgresql://latchledger_relay:pw@db:5433/latchledger',
    REDIS_URL: 'redis://cache:6379',
    PUBLIC_URL: 'https://ledger.example.com/',
    LOG_LEVEL: 'debug',
    SMTP_URL: 'smtps://user:pw@mail.example.com:465',
    MAIL_FROM: 'ledger@example.com',
    WORKER_PORT: '0',
    WORKER_POOL_SIZE: '30',
    WEBHOOK_NETWORKS: '10.20.0.0/16, fd00::/8',
  });
  expect(read).toMatchObject({
    ok: true,
    value: {
      relayDatabaseUrl: 'postgresql://latchledger_relay:pw@db:5433/latchledger',
      redisUrl: 'redis://cache:6379',
      publicUrl: 'https://ledger.example.com',
      logLevel: 'debug',
      mail: { kind: 'smtp', url: 'smtps://user:pw@mail.example.com:465', from: 'ledger@example.com' },
      port: 0,
      databasePoolSize: 30,
      webhookNetworks: [{ address: '10.20.0.0', prefix: 16 }, { address: 'fd00::', prefix: 8 }],
    },
  });
});

it('refuses to start a server without its master key, and says how to make one', () => {
  const read = readApiConfiguration({ ...api, MASTER_KEY_FILE: undefined });
  expect(read).toEqual({
    ok: false,
    problems: [{ variable: 'MASTER_KEY_FILE', message: expect.stringMatching(/^is missing: .*openssl rand -base64 32/) }],
  });
});

it('names every wrong value at once, each with what to put', () => {
  const read = readWorkerConfiguration({ PORT: 'http', HOST: 'not a host', LOG_LEVEL: 'loud', PUBLIC_URL: 'ledger.example.com/app', MAIL_FROM: 'me' });
  if (read.ok) throw new Error('must be refused');
  expect(read.problems.map(({ variable }) => variable).sort()).toEqual(
    ['APP_DATABASE_URL', 'HOST', 'LOG_LEVEL', 'MASTER_KEY_FILE', 'PORT', 'PUBLIC_URL', 'RELAY_DATABASE_URL'].sort(),
  );
  const text = describeProblems(read.problems);
  expect(text).toContain('PORT must be a port from 1 to 65535, for example 4800; it is "http".');
  expect(text).toContain('LOG_LEVEL must be one of fatal, error, warn, info, debug, trace, silent; it is "loud".');
  expect(text.split('\n')).toHaveLength(7);
});

it.each([
  ['PORT', ['0', '65536', '4800.5', '-1', '0x10'], ['1', '65535']],
  ['HOST', ['not a host', '1.2.3.4.5:80'], ['0.0.0.0', '::1', 'localhost', 'api.internal']],
  ['PUBLIC_URL', ['ftp://x.example', 'https://x.example/app', 'https://x.example/?a=1', 'x'], ['http://localhost:4800', 'https://x.example/']],
  ['APP_DATABASE_URL', ['mysql://x/y', 'postgres://host', 'host=x dbname=y'], ['postgres://u:p@h:5432/d?sslmode=require']],
  ['REDIS_URL', ['http://x', 'redis'], ['redis://x', 'rediss://:p@x:6380/2']],
  ['SMTP_URL', ['mail.example.com'], []],
  ['TRUSTED_PROXIES', ['all', '11'], ['0', '2']],
  ['METRICS_TOKEN', ['too short'], ['0123456789abcdef']],
  ['GUESSES_PER_MINUTE', ['0', 'many'], ['5']],
  ['COSTLY_REQUESTS_PER_MINUTE', ['0', 'many'], ['5']],
  ['API_POOL_SIZE', ['1', '501', 'many'], ['2', '500']],
])('judges %s', (variable, wrong, right) => {
  for (const value of wrong) {
    expect(readApiConfiguration({ ...api, [variable]: value })).toMatchObject({ ok: false, problems: [{ variable }] });
  }
  for (const value of right) expect(readApiConfiguration({ ...api, [variable]: value })).toMatchObject({ ok: true });
});

it('never repeats a secret in a message', () => {
  const secret = 'hunter2hunter2';
  const read = readWorkerConfiguration({
    DATABASE_URL: `mysql://u:${secret}@h/d`,
    APP_DATABASE_URL: `mysql://u:${secret}@h/d`,
    RELAY_DATABASE_URL: secret,
    REDIS_URL: secret,
    SMTP_URL: secret,
    MASTER_KEY_FILE: 'x',
  });
  if (read.ok) throw new Error('must be refused');
  expect(read.problems.length).toBeGreaterThanOrEqual(4);
  expect(describeProblems(read.problems)).not.toContain(secret);
});

it('puts the password of a file into the address', () => {
  const passwordFile = join(directory, 'password');
  writeFileSync(passwordFile, 'p@ss/word\n');
  const environment = { ...api, APP_DATABASE_URL: 'postgres://latchledger_app@db/latchledger' };
  expect(readApiConfiguration({ ...environment, APP_DATABASE_PASSWORD_FILE: passwordFile })).toMatchObject({
    ok: true,
    value: { databaseUrl: 'postgres://latchledger_app:p%40ss%2Fword@db/latchledger' },
  });
  expect(readApiConfiguration({ ...environment, APP_DATABASE_PASSWORD_FILE: join(directory, 'none') })).toMatchObject({
    ok: false,
    problems: [{ variable: 'APP_DATABASE_PASSWORD_FILE', message: expect.stringContaining('cannot be read') }],
  });
  writeFileSync(passwordFile, '\n');
  expect(readApiConfiguration({ ...environment, APP_DATABASE_PASSWORD_FILE: passwordFile })).toMatchObject({
    ok: false,
    problems: [{ variable: 'APP_DATABASE_PASSWORD_FILE', message: expect.stringContaining('empty') }],
  });
});

it('sends mails one way', () => {
  const environment = { ...api, SMTP_URL: 'smtp://mail', MAIL_FROM: 'a@example.com' };
  expect(readApiConfiguration({ ...environment, MAIL_DIRECTORY: '/var/mail' })).toMatchObject({ ok: false, problems: [{ variable: 'MAIL_DIRECTORY' }] });
  expect(readApiConfiguration({ ...environment, MAIL_FROM: '' })).toMatchObject({ ok: false, problems: [{ variable: 'MAIL_FROM' }] });
});

describe('commands', () => {
  it('need nothing: the database is embedded and everything lies in ./data', () => {
    expect(readStartConfiguration({})).toMatchObject({
      ok: true,
      value: { database: { kind: 'embedded' }, dataDirectory: resolve('data'), masterKeyFile: resolve('data/keys/master.key'), roleUrls: {} },
    });
  });

  it('use the server that is named', () => {
    const environment = { DATABASE_URL: 'postgres://u:p@h/d', BACKUP_DATABASE_URL: 'postgres://b:p@h/d', DATA_DIRECTORY: '/srv/ledger' };
    expect(readCommandConfiguration(environment)).toMatchObject({
      ok: true,
      value: { database: { kind: 'server', url: 'postgres://u:p@h/d' }, roleUrls: { backup: 'postgres://b:p@h/d' }, dataDirectory: '/srv/ledger' },
    });
    expect(readStartConfiguration({ ...environment, MASTER_KEY_FILE: '/srv/key' })).toMatchObject({ ok: true, value: { masterKeyFile: '/srv/key' } });
  });

  it('do not start on a server without a master key that somebody keeps', () => {
    expect(readStartConfiguration({ DATABASE_URL: 'postgres://u:p@h/d' })).toMatchObject({ ok: false, problems: [{ variable: 'MASTER_KEY_FILE' }] });
  });
});
