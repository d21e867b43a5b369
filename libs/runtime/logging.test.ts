import { createLogger, requestIdFrom, type LogLevel } from './logging';

/** Logs into memory; every line parsed back. */
function logger(level: LogLevel = 'info'): { log: ReturnType<typeof createLogger>; lines: () => Record<string, unknown>[]; text: () => string } {
  let written = '';
  const log = createLogger({ name: 'test', level, destination: { write: (line: string) => void (written += line) } });
  return {
    log,
    text: () => written,
    lines: () =>
      written
        .trim()
        .split('\n')
        .map((line) => JSON.parse(line) as Record<string, unknown>),
  };
}

it('writes one JSON object a line, with level by name, time, process and the request it belongs to', () => {
  const { log, lines } = logger();
  log.child({ requestId: 'request-1' }).info({ rowCount: 3, route: '/v1/sites' }, 'listed');
  expect(lines()).toEqual([
    {
      level: 'info',
      time: expect.stringMatching(/^\d{4}-\d\d-\d\dT[\d:.]+Z$/),
      name: 'test',
      pid: process.pid,
      requestId: 'request-1',
      rowCount: 3,
      route: '/v1/sites',
      msg: 'listed',
    },
  ]);
});

const LEAK = 'must-not-get-out';
/** As long as the secrets of our links and tokens: 32 bytes in base64url. */
const LONG_LEAK = `${LEAK}-`.repeat(3).slice(0, 43);

it.each([
  ['password', { password: LEAK }],
  ['a password further down', { user: { login: [{ newPassword: LEAK }] } }],
  ['session token', { sessionToken: LEAK }],
  ['API token', { api_token: LEAK }],
  ['cookie header', { headers: { 'set-cookie': LEAK, cookie: LEAK } }],
  ['authorization header', { headers: { Authorization: LEAK } }],
  ['second factor', { totpSecret: LEAK, recoveryCodes: [LEAK] }],
  ['keys', { privateKey: LEAK, dataKey: LEAK, masterKey: LEAK }],
  ['connection strings', { databaseUrl: LEAK, url: `postgres://app:${LEAK}@db:5432/x` }],
  ['one-use link', { link: `https://example.test/start?token=${LEAK}&next=/`, other: `https://example.test/start#token=${LEAK}` }],
  ['our own one-use link', { message: `hand over https://ledger.example/link#${LONG_LEAK} today` }],
  ['our own API token', { message: `the token is latchledger_${LONG_LEAK}` }],
  ['row that PostgreSQL refused', { err: Object.assign(new Error('violates a check'), { detail: `Failing row contains (1, $argon2id$${LEAK}).` }) }],
])('keeps a secret back at every level: %s', (_name, fields) => {
  for (const level of ['info', 'trace'] as const) {
    const { log, text } = logger(level);
    log[level](fields, `with ${level}`);
    log.child(fields)[level]('bound');
    expect(text()).not.toContain(LEAK);
    expect(text()).toContain('[redacted]');
  }
});

it('keeps secrets back in messages and errors too', () => {
  const { log, text, lines } = logger();
  log.warn(`cannot reach postgres://app:${LEAK}@db/x`);
  log.error(new Error(`401 for Bearer ${LEAK}`), 'refused');
  log.error({ err: Object.assign(new Error('failed'), { config: { password: LEAK } }) });
  log.info('format %s', `https://example.test/?reset_token=${LEAK}`);
  expect(text()).not.toContain(LEAK);
  expect(lines()[1]).toMatchObject({ msg: 'refused', err: { type: 'Error', message: '401 for Bearer [redacted]' } });
});

it('keeps amounts, bank details and contact data back at info, and shows amounts to who asked for debug', () => {
  const fields = {
    siteId: 'site-1',
    payable: { amountMinor: 12_345 },
    netTakings: '123.45',
    taxTotal: 1,
    iban: LEAK,
    accountNumber: LEAK,
    contactEmail: LEAK,
    lines: [{ shareMinor: 1 }],
  };
  const atInfo = logger();
  atInfo.log.info(fields, 'paid to GB82 WEST 1234 5698 7654 32 or DE89370400440532013000');
  expect(atInfo.lines()[0]).toMatchObject({
    siteId: 'site-1',
    payable: '[redacted]',
    netTakings: '[redacted]',
    taxTotal: '[redacted]',
    iban: '[redacted]',
    accountNumber: '[redacted]',
    contactEmail: '[redacted]',
    lines: [{ shareMinor: '[redacted]' }],
    msg: 'paid to [redacted] or [redacted]',
  });
  const atDebug = logger('debug');
  atDebug.log.debug(fields);
  expect(atDebug.lines()[0]).toMatchObject({ payable: { amountMinor: 12_345 } });
});

it('leaves measures of its own work readable', () => {
  const { log, lines } = logger();
  const fields = { rowCount: 7, siteCount: 60, totalSeconds: 1.5, latencyMs: 12, jobCount: 2, taxAreaId: 'area-1', code: 'period-closed', inputHash: 'ab12' };
  log.info(fields);
  expect(lines()[0]).toMatchObject(fields);
});

it('reduces requests and answers to what is harmless', () => {
  const { log, lines } = logger();
  log.info({ req: { method: 'GET', url: '/v1/x?token=abc', headers: { cookie: LEAK } }, res: { statusCode: 204, headers: {} } });
  expect(lines()[0]).toMatchObject({ req: { method: 'GET', url: '/v1/x?token=[redacted]' }, res: { status: 204 } });
});

it('survives what refers to itself', () => {
  const circle: Record<string, unknown> = { name: 'circle' };
  circle['self'] = circle;
  const { log, lines } = logger();
  log.info({ circle });
  expect(lines()).toHaveLength(1);
});

it('takes over a request id that is harmless and makes one otherwise', () => {
  expect(requestIdFrom('client-id-0001', () => 'new')).toBe('client-id-0001');
  for (const header of [undefined, 'short', 'a'.repeat(65), 'with space 1', 'line\nbreak-1', ['two', 'ids']]) {
    expect(requestIdFrom(header, () => 'new')).toBe('new');
  }
});
