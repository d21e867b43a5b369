import { mkdtempSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import supertest from 'supertest';
import { problems } from '#contracts/problem';
import { createLogger } from '#runtime/logging';
import { startTestApi, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/database';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const token = { name: 'Export', role: 'auditor', scopes: ['read'], expiresAt: '2026-12-31T00:00:00Z' };

describe('problem documents', () => {
  test('an unknown address, a malformed body and one of the wrong kind are problems, too', async () => {
    const owner = api.operator.as('owner');
    const unknown = await api.anonymous.get('/v1/no-such-thing').expect(404);
    expect(unknown.headers['content-type']).toContain('application/problem+json');
    expect(unknown.body).toMatchObject({ code: 'route-not-found', status: 404, title: problems['route-not-found'].title, advice: problems['route-not-found'].advice });
    expect((await owner.post('/v1/api-tokens').set('Content-Type', 'application/json').send('{"name": ').expect(400)).body.code).toBe('invalid-request');
    const deep = `{"name": ${'['.repeat(200_000)}${']'.repeat(200_000)}}`;
    expect((await owner.post('/v1/api-tokens').set('Content-Type', 'application/json').send(deep).expect(400)).body.code).toBe('invalid-request');
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=x']) {
      expect((await owner.post('/v1/api-tokens').set('Content-Type', type).send('name').expect(415)).body.code).toBe('unsupported-media-type');
    }
    expect((await owner.post('/v1/api-tokens', { ...token, name: 'x'.repeat(1_100_000) }).expect(413)).body.code).toBe('body-too-large');
    expect((await owner.get('/v1/api-tokens?limit=0&colour=red').expect(400)).body.errors).toEqual([
      expect.objectContaining({ in: 'query', pointer: 'limit', code: 'too-small' }),
      expect.objectContaining({ in: 'query', pointer: 'colour', code: 'unknown-field' }),
    ]);
    await api.anonymous.delete('/v1/sign-in').expect(404);
  });

  test('each names the request id of the answer and of the log', async () => {
    const answer = await api.anonymous.get('/v1/account').set('Request-Id', 'test-request-0001').expect(401);
    expect(answer.headers['request-id']).toBe('test-request-0001');
    expect(answer.body.requestId).toBe('test-request-0001');
    expect(answer.headers['www-authenticate']).toBe('Bearer');
    const own = await api.anonymous.get('/v1/account').set('Request-Id', 'not one "harmless" id').expect(401);
    expect(own.headers['request-id']).toMatch(/^[0-9a-f-]{36}$/);
  });

  test('an unexpected exception is a 500 with its request id and nothing of what went wrong, which the log has', async () => {
    const lines: string[] = [];
    const broken = await startTestApi({
      logger: createLogger({ name: 'test', level: 'error', destination: { write: (line) => void lines.push(line) } }),
      isReady: () => Promise.reject(new Error('the disk says no')),
    });
    try {
      const answer = await broken.anonymous.get('/health/ready').expect(500);
      expect(answer.body).toMatchObject({ code: 'unexpected', status: 500 });
      expect(JSON.stringify(answer.body)).not.toContain('disk');
      expect(lines.join('')).toContain('the disk says no');
      expect(lines.join('')).toContain(answer.body.requestId);
    } finally {
      await broken.close();
    }
  });

  test.each([
    ['a search', '/v1/sites?search=%00'],
    ['a filter', '/v1/audit-trail?actor=a%00'],
    ['a cursor', `/v1/api-tokens?cursor=${Buffer.from(JSON.stringify(['\0', '0195e000-0000-7000-8000-00000000e15e'])).toString('base64url')}`],
  ])('the character zero in %s is the caller’s mistake, not ours', async (_where, path) => {
    expect((await api.operator.as('owner').get(path).expect(400)).body).toMatchObject({ code: 'invalid-request', detail: 'A text holds a character that cannot be stored.' });
  });

  test('a malformed id in the path is an unknown id', async () => {
    const answer = await api.operator.as('owner').get("/v1/members/1'%20OR%20'1'='1").expect(404);
    expect(answer.body.code).toBe('not-found');
  });
});

describe('Idempotency-Key', () => {
  const count = async (name: string): Promise<number> => {
    const listed = await api.operator.as('owner').get('/v1/api-tokens?limit=200').expect(200);
    return listed.body.items.filter((item: { name: string }) => item.name === name).length;
  };

  test.each([['left out', undefined], ['empty', ''], ['too long', 'x'.repeat(201)], ['not printable', 'tab\there']])('%s is refused', async (_what, key) => {
    const request = api.operator.as('owner').post('/v1/api-tokens', token);
    if (key === undefined) void request.unset('Idempotency-Key');
    else void request.set('Idempotency-Key', key);
    expect((await request.expect(400)).body.code).toBe('idempotency-key-missing');
  });

  test('a failed request stores nothing: its correction goes through under the same key', async () => {
    const owner = api.operator.as('owner');
    const send = (body: object) => owner.post('/v1/api-tokens', body).set('Idempotency-Key', 'mended');
    await send({ ...token, name: 'Mended', expiresAt: '2020-01-01T00:00:00Z' }).expect(422);
    await send({ ...token, name: 'Mended' }).expect(201);
  });

  test('twenty at once take effect once: one answers, the others say in flight or repeat the answer', async () => {
    const owner = api.operator.as('owner');
    const answers = await Promise.all(Array.from({ length: 20 }, () => owner.post('/v1/api-tokens', { ...token, name: 'At once' }).set('Idempotency-Key', 'at-once')));
    const ids = new Set(answers.filter(({ status }) => status === 201).map(({ body }) => body.id as string));
    expect(ids.size).toBe(1);
    expect(answers.filter(({ status }) => status !== 201).every(({ status, body }) => status === 409 && body.code === 'request-in-flight')).toBe(true);
    expect(answers.filter(({ status, headers }) => status === 201 && headers['idempotency-replayed'] === undefined)).toHaveLength(1);
    expect(await count('At once')).toBe(1);
  });

  test('a request whose key is being worked on is told so', async () => {
    const owner = api.operator.as('owner');
    await onConnection(api.db.urls.superuser, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT pg_advisory_xact_lock(hashtextextended('once:' || $1 || ':' || $2 || ':' || $3, 0))`, [api.operator.tenantId, `user:${owner.id}`, 'slow']);
      const answer = await owner.post('/v1/api-tokens', token).set('Idempotency-Key', 'slow').expect(409);
      expect(answer.body.code).toBe('request-in-flight');
      expect(answer.headers['retry-after']).toBe('1');
      await client.query('ROLLBACK');
    });
    await owner.post('/v1/api-tokens', token).set('Idempotency-Key', 'slow').expect(201);
  });

  test('the same key of another user is another key', async () => {
    const second = await api.operator.newMember('owner');
    await api.operator.as('owner').post('/v1/api-tokens', { ...token, name: 'Mine' }).set('Idempotency-Key', 'common').expect(201);
    const theirs = await second.post('/v1/api-tokens', { ...token, name: 'Theirs' }).set('Idempotency-Key', 'common').expect(201);
    expect(theirs.headers['idempotency-replayed']).toBeUndefined();
    expect(theirs.body.name).toBe('Theirs');
  });
});

describe('ETag and If-Match', () => {
  test('a change names what it was made from', async () => {
    const owner = api.operator.as('owner');
    const read = await owner.get('/v1/operator').expect(200);
    const etag = read.headers['etag'] ?? '';
    expect(etag).toBe(`"${read.body.revision}"`);
    expect((await owner.patch('/v1/operator', { name: 'A' }).expect(428)).body.code).toBe('version-missing');
    for (const wrong of ['"999"', 'W/"1"', '*', '1', '"one"']) await owner.patch('/v1/operator', { name: 'A' }).set('If-Match', wrong).expect(412);
    const changed = await owner.patch('/v1/operator', { name: 'A' }).set('If-Match', etag).expect(200);
    expect(changed.body).toEqual({ ...read.body, name: 'A', revision: read.body.revision + 1 });
    await owner.patch('/v1/operator', { name: 'B' }).set('If-Match', etag).expect(412);
  });

  test('of two changes at the same moment one wins', async () => {
    const owner = api.operator.as('owner');
    const etag = (await owner.get('/v1/operator').expect(200)).headers['etag'] ?? '';
    const answers = await Promise.all(['C', 'D', 'E'].map((name) => owner.patch('/v1/operator', { name }).set('If-Match', etag)));
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412, 412]);
  });
});

describe('pages', () => {
  test('walk over a list once, whatever is added meanwhile', async () => {
    const owner = api.other.as('owner');
    for (const name of ['B', 'A', 'C', 'A', 'E']) await owner.post('/v1/api-tokens', { ...token, name }).expect(201);
    const names: string[] = [];
    let cursor = '';
    do {
      const page = await owner.get(`/v1/api-tokens?limit=2${cursor === '' ? '' : `&cursor=${cursor}`}`).expect(200);
      names.push(...page.body.items.map((item: { name: string }) => item.name));
      if (names.length === 2) await owner.post('/v1/api-tokens', { ...token, name: 'D' }).expect(201);
      cursor = page.body.next ?? '';
    } while (cursor !== '');
    expect(names).toEqual(['A', 'A', 'B', 'C', 'D', 'E']);
  });

  test.each(['nonsense', Buffer.from('["A"]').toString('base64url'), Buffer.from('["A","not an id"]').toString('base64url'), Buffer.from('{}').toString('base64url')])('%s is no cursor', async (cursor) => {
    expect((await api.operator.as('owner').get(`/v1/api-tokens?cursor=${cursor}`).expect(400)).body.code).toBe('invalid-cursor');
  });
});

describe('around the routes', () => {
  test('health, and metrics for this machine alone', async () => {
    await api.anonymous.get('/health/live').expect(200, { status: 'ok' });
    await api.anonymous.get('/health/ready').expect(200, { status: 'ok' });
    const metrics = await api.anonymous.get('/metrics').expect(200);
    expect(metrics.text).toContain('latchledger_request_seconds_bucket');
    expect(metrics.text).toContain('latchledger_problems_total{code="idempotency-key-missing"');
    expect(metrics.text).not.toContain(api.operator.tenantId);
    await api.anonymous.get('/metrics').set('X-Forwarded-For', '203.0.113.9').expect(404);
  });

  test('metrics by token, readiness refused, limits per address, stricter where secrets could be guessed', async () => {
    const limited = await startTestApi({ metricsToken: 'scrape me', isReady: async () => false, requestsPerMinute: 8, guessesPerMinute: 3, reportsPerMinute: 2, trustedProxies: 1 });
    try {
      const from = (address: string) => ({ 'X-Forwarded-For': address });
      await limited.anonymous.get('/metrics').set(from('203.0.113.1')).expect(404);
      await limited.anonymous.get('/metrics').set({ ...from('203.0.113.1'), Authorization: 'Bearer scrape me' }).expect(200);
      expect((await limited.anonymous.get('/health/ready').set(from('203.0.113.2')).expect(503)).body.code).toBe('not-ready');
      const guess = (address: string) => limited.anonymous.post('/v1/sign-in').set(from(address)).send({ email: 'a@b.example', password: 'x' });
      for (let count = 0; count < 3; count += 1) await guess('203.0.113.3').expect(401);
      const refused = await guess('203.0.113.3').expect(429);
      expect(refused.body.code).toBe('too-many-requests');
      expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
      const asked = () => limited.anonymous.get(`/v1/statements/standing?digest=${'0'.repeat(32)}.${'0'.repeat(64)}`).set(from('203.0.113.5'));
      for (let count = 0; count < 3; count += 1) await asked().expect(200);
      expect((await asked().expect(429)).body.code).toBe('too-many-requests');
      // Reading on, and somebody else's sign-in, go on.
      await limited.anonymous.get('/openapi.json').set(from('203.0.113.3')).expect(200);
      await guess('203.0.113.4').expect(401);
      for (let count = 0; count < 7; count += 1) await limited.anonymous.get('/openapi.json').set(from('203.0.113.3')).expect(200);
      await limited.anonymous.get('/openapi.json').set(from('203.0.113.3')).expect(429);
      // A device is counted by its token, wherever it sends from, and beside it the others go on.
      const report = (address: string, token: string) => limited.anonymous.post('/v1/machine-reports').set({ ...from(address), Authorization: `Bearer ${token}` }).send({ machineTag: 'M-1' });
      for (const address of ['203.0.113.5', '203.0.113.6']) await report(address, 'one').expect(401);
      const mad = await report('203.0.113.7', 'one').expect(429);
      expect([mad.body.code, Number(mad.headers['retry-after']) > 0]).toEqual(['too-many-requests', true]);
      await report('203.0.113.5', 'two').expect(401);
      // Whoever watches over the process is never turned away.
      for (let count = 0; count < 20; count += 1) await limited.anonymous.get('/health/live').set(from('203.0.113.3')).expect(200);
    } finally {
      await limited.close();
    }
  });

  test('every answer carries the headers that keep a browser out of trouble, and no answer of the API is kept', async () => {
    const answer = await api.operator.as('owner').get('/v1/operator').expect(200);
    expect(answer.headers['content-security-policy']).toContain("default-src 'none'");
    expect(answer.headers['content-security-policy']).toContain("frame-ancestors 'none'");
    expect(answer.headers['x-content-type-options']).toBe('nosniff');
    expect(answer.headers['referrer-policy']).toBe('no-referrer');
    expect(answer.headers['cache-control']).toBe('no-store');
    expect(answer.headers['x-powered-by']).toBeUndefined();
  });

  test('the console is served with deep links, its hashed files kept for ever, and never in place of the API', async () => {
    const directory = mkdtempSync(join(tmpdir(), 'latchledger-console-'));
    mkdirSync(join(directory, 'assets'));
    writeFileSync(join(directory, 'index.html'), '<!doctype html><title>console</title>');
    writeFileSync(join(directory, 'assets', 'main-4f2a.js'), 'export {};');
    const served = await startTestApi({ consoleDirectory: directory });
    try {
      for (const path of ['/', '/index.html', '/month-end/2026-03', '/link']) {
        const page = await served.anonymous.get(path).expect(200);
        expect(page.text).toContain('<title>console</title>');
        expect(page.headers['cache-control']).toBe('no-cache');
      }
      const asset = await served.anonymous.get('/assets/main-4f2a.js').expect(200);
      expect(asset.headers['cache-control']).toContain('immutable');
      await served.anonymous.get('/assets/gone-0000.js').expect(404);
      expect((await served.anonymous.get('/v1/no-such-thing').expect(404)).body.code).toBe('route-not-found');
      await served.anonymous.get('/..%2f..%2fetc%2fpasswd').expect((answer) => expect(answer.text).not.toContain('root:'));
    } finally {
      await served.close();
      rmSync(directory, { recursive: true });
    }
  });

  test('closing waits for the request under way', async () => {
    let release = (): void => undefined;
    const waiting = new Promise<boolean>((resolve) => (release = () => resolve(true)));
    let arrive = (): void => undefined;
    const arrived = new Promise<void>((resolve) => (arrive = resolve));
    const closing = await startTestApi({
      isReady: () => {
        arrive();
        return waiting;
      },
    });
    const slow = supertest(closing.url).get('/health/ready').then((answer) => answer.status);
    await arrived;
    const closed = closing.close();
    await pause(100);
    release();
    await expect(slow).resolves.toBe(200);
    await closed;
    await expect(supertest(closing.url).get('/health/live')).rejects.toThrow(/ECONNREFUSED/);
  });
});
