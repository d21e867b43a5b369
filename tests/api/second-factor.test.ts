import { authenticator } from 'otplib';
import type { Response } from 'supertest';
import { matchingStep } from '#backoffice/identity/time-code';
import { startTestApi, TEST_PASSWORD, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/database';

let api: TestApi;
beforeEach(async () => {
  api = await startTestApi();
});
afterEach(() => api?.close());

type Browser = { cookie: string; csrf: string };
const browserOf = (answer: Response): Browser => ({
  cookie: (answer.headers['set-cookie']?.[0] ?? '').split(';')[0] ?? '',
  csrf: (answer.body as { csrf?: string; account?: { csrf: string } }).csrf ?? (answer.body as { account: { csrf: string } }).account.csrf,
});
const signIn = async (email: string): Promise<Response> => api.anonymous.post('/v1/sign-in').send({ email, password: TEST_PASSWORD });
const post = (browser: Browser, path: string, body?: object) => api.anonymous.post(path).set('Cookie', browser.cookie).set('Latchledger-Csrf', browser.csrf).send(body);
const get = (browser: Browser, path: string) => api.anonymous.get(path).set('Cookie', browser.cookie);
const codeAt = (secret: string): string => authenticator.clone({ epoch: api.clock.now().getTime() }).generate(secret);
const nextStep = () => api.clock.advance({ milliseconds: 30_000 });

async function setUp(email: string): Promise<{ browser: Browser; secret: string; recoveryCodes: string[] }> {
  const first = browserOf(await signIn(email));
  const proposed = await post(first, '/v1/account/second-factor', { password: TEST_PASSWORD }).expect(200);
  const { secret, address } = proposed.body as { secret: string; address: string };
  expect(address).toContain(`secret=${secret}`);
  const confirmed = await post(first, '/v1/account/second-factor/confirm', { code: codeAt(secret) }).expect(200);
  nextStep();
  return { browser: browserOf(confirmed), secret, recoveryCodes: (confirmed.body as { recoveryCodes: string[] }).recoveryCodes };
}

test('RFC 6238 appendix B: the codes of its test secret are taken at their times (its 8 digits cut to the last 6)', () => {
  // ASCII "12345678901234567890" in base32.
  const secret = 'GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ';
  const vectors: [number, string, bigint][] = [
    [59, '287082', 0x1n],
    [1_111_111_109, '081804', 0x23523ecn],
    [1_111_111_111, '050471', 0x23523edn],
    [1_234_567_890, '005924', 0x273ef07n],
    [2_000_000_000, '279037', 0x3f940aan],
    [20_000_000_000, '353130', 0x27bc86aan],
  ];
  for (const [seconds, code, step] of vectors) expect(matchingStep({ secret, code, now: new Date(seconds * 1000) })).toBe(step);
  // One step of 30 seconds around is taken as well, two are not.
  expect(matchingStep({ secret, code: '050471', now: new Date((1_111_111_111 + 30) * 1000) })).toBe(0x23523edn);
  expect(matchingStep({ secret, code: '050471', now: new Date((1_111_111_111 + 60) * 1000) })).toBeNull();
});

test('with a second factor the password alone opens nothing, and a code serves once', async () => {
  const { email } = api.operator.as('bookkeeper');
  const { secret } = await setUp(email);
  const half = await signIn(email);
  expect(half.body).toMatchObject({ secondFactor: 'awaited', operators: [] });
  const awaiting = browserOf(half);
  expect((await get(awaiting, '/v1/operator').expect(401)).body.code).toBe('not-signed-in');
  await post(awaiting, '/v1/account/password', { currentPassword: TEST_PASSWORD, newPassword: 'four green kettles 9' }).expect(401);
  await post(awaiting, '/v1/sign-out/everywhere').expect(401);

  const code = codeAt(secret);
  const full = await post(awaiting, '/v1/sign-in/second-factor', { code }).expect(200);
  expect(full.body).toMatchObject({ secondFactor: 'given', operators: [{ role: 'bookkeeper' }] });
  await get(browserOf(full), '/v1/operator').expect(200);
  // The secret of the half-open session opens nothing any more.
  await get(awaiting, '/v1/account').expect(401);

  const again = browserOf(await signIn(email));
  expect((await post(again, '/v1/sign-in/second-factor', { code }).expect(422)).body.code).toBe('second-factor-wrong');
  nextStep();
  await post(again, '/v1/sign-in/second-factor', { code: codeAt(secret) }).expect(200);
});

test('setting up a second factor closes every other session, which was opened without one', async () => {
  const { email } = api.operator.as('auditor');
  const elsewhere = browserOf(await signIn(email));
  await get(elsewhere, '/v1/operator').expect(200);
  const { browser } = await setUp(email);
  await get(browser, '/v1/operator').expect(200);
  await get(elsewhere, '/v1/operator').expect(401);
});

test('wrong codes lock, and a recovery code serves once, however it is typed', async () => {
  const { email } = api.operator.as('collector');
  const { secret, recoveryCodes } = await setUp(email);
  expect(new Set(recoveryCodes).size).toBe(10);
  const awaiting = browserOf(await signIn(email));
  for (let count = 0; count < 5; count += 1) await post(awaiting, '/v1/sign-in/second-factor', { code: '000000' }).expect(422);
  await post(awaiting, '/v1/sign-in/second-factor', { code: codeAt(secret) }).expect(429);
  api.clock.advance({ milliseconds: 3_600_000 });
  const [first = ''] = recoveryCodes;
  await post(awaiting, '/v1/sign-in/second-factor', { code: first.toLowerCase().replaceAll('-', '') }).expect(200);
  const later = browserOf(await signIn(email));
  await post(later, '/v1/sign-in/second-factor', { code: first }).expect(422);
});

test('an operator that asks for a second factor lets nobody act without one, and tokens act on', async () => {
  const owner = api.operator.as('owner');
  const read = await owner.get('/v1/operator').expect(200);
  await owner.patch('/v1/operator', { secondFactorRequired: true }).set('If-Match', read.headers['etag'] ?? '').expect(200);
  expect((await owner.get('/v1/operator').expect(403)).body.code).toBe('second-factor-needed');
  const token = await api.operator.withToken({ role: 'auditor', scopes: ['read'] });
  await token.get('/v1/operator').expect(200);

  const { browser } = await setUp(owner.email);
  await get(browser, '/v1/operator').expect(200);
});

test('the second factor goes with password and code only', async () => {
  const { email } = api.operator.as('reviewer');
  const { browser, secret } = await setUp(email);
  await post(browser, '/v1/account/second-factor', { password: TEST_PASSWORD }).expect(409);
  await post(browser, '/v1/account/second-factor/remove', { password: 'wrong', code: codeAt(secret) }).expect(401);
  await post(browser, '/v1/account/second-factor/remove', { password: TEST_PASSWORD, code: '000000' }).expect(422);
  const removed = await post(browser, '/v1/account/second-factor/remove', { password: TEST_PASSWORD, code: codeAt(secret) }).expect(200);
  expect(removed.body).toMatchObject({ secondFactor: 'none' });
  expect((await signIn(email)).body).toMatchObject({ secondFactor: 'none' });
});

test('the secret is sealed where it is stored', async () => {
  const { email } = api.operator.as('owner');
  const { secret } = await setUp(email);
  const stored = await onConnection(api.db.urls.superuser, (client) => client.query<{ sealed: Buffer }>('SELECT sealed_factor_secret AS sealed FROM identity.user_account WHERE email = $1', [email]));
  expect(stored.rows[0]?.sealed.length).toBeGreaterThan(40);
  expect(stored.rows[0]?.sealed.includes(Buffer.from(secret))).toBe(false);
});
