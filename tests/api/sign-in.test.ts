import supertest from 'supertest';
import { startTestApi, TEST_PASSWORD, type TestApi } from '#tests/support/api';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const signIn = (email: string, password: string) => api.anonymous.post('/v1/sign-in').send({ email, password });
const cookieOf = (answer: supertest.Response): string => (answer.headers['set-cookie']?.[0] ?? '').split(';')[0] ?? '';
/** Minutes enough for every lock of the tests before to have passed. */
const waitOutLocks = () => api.clock.advance({ milliseconds: 25 * 3_600_000 });

test('a right password opens a session by a cookie that scripts and other sites cannot use', async () => {
  const bookkeeper = api.operator.as('bookkeeper');
  const answer = await signIn(bookkeeper.email.toUpperCase(), TEST_PASSWORD).expect(200);
  expect(answer.body).toMatchObject({
    email: bookkeeper.email,
    secondFactor: 'none',
    operators: [{ id: api.operator.tenantId, code: api.operator.code, role: 'bookkeeper', siteIds: [] }],
  });
  const cookie = answer.headers['set-cookie']?.[0] ?? '';
  expect(cookie).toMatch(/^latchledger-session=[A-Za-z0-9_-]{43}; /);
  expect(cookie).toContain('HttpOnly');
  expect(cookie).toContain('SameSite=Lax');
  // The secret is in the cookie alone.
  expect(JSON.stringify(answer.body)).not.toContain(cookieOf(answer).split('=')[1]);

  const account = await api.anonymous.get('/v1/account').set('Cookie', cookieOf(answer)).expect(200);
  expect(account.body.csrf).toBe(answer.body.csrf);
});

test('over https the cookie is Secure and bound to this very host', async () => {
  const secure = await startTestApi({ publicOrigin: 'https://ledger.example' });
  try {
    const answer = await secure.anonymous.post('/v1/sign-in').send({ email: secure.operator.as('owner').email, password: TEST_PASSWORD }).expect(200);
    expect(answer.headers['set-cookie']?.[0]).toMatch(/^__Host-latchledger-session=.*Secure/);
    expect(answer.headers['strict-transport-security']).toBeDefined();
  } finally {
    await secure.close();
  }
});

test('a wrong password and an unknown address are refused in the same words', async () => {
  const wrong = await signIn(api.operator.as('reviewer').email, 'wrong wrong wrong').expect(401);
  const unknown = await signIn('nobody@operator.example', 'wrong wrong wrong').expect(401);
  const said = ({ body }: supertest.Response) => ({ ...body, requestId: '' });
  expect(said(wrong)).toEqual(said(unknown));
  expect(wrong.body.code).toBe('sign-in-refused');
});

test.each(['the address of an account', 'an address without one'])('five failures lock %s, longer each time, and nothing gets in meanwhile', async (which) => {
  const email = which === 'the address of an account' ? api.operator.as('auditor').email : 'nobody.at.all@operator.example';
  for (let count = 0; count < 5; count += 1) await signIn(email, `wrong password ${count}`).expect(401);
  const locked = await signIn(email, TEST_PASSWORD).expect(429);
  expect(locked.body.code).toBe('sign-in-locked');
  expect(locked.headers['retry-after']).toBe('30');
  api.clock.advance({ milliseconds: 31_000 });
  await signIn(email, 'wrong again').expect(401);
  expect((await signIn(email, TEST_PASSWORD).expect(429)).headers['retry-after']).toBe('60');
  waitOutLocks();
  if (which === 'the address of an account') await signIn(email, TEST_PASSWORD).expect(200);
});

test('guesses sent at the same moment count one by one', async () => {
  const email = api.operator.as('custodian').email;
  const answers = await Promise.all(Array.from({ length: 12 }, (_, index) => signIn(email, `parallel guess ${index}`)));
  expect(answers.map(({ status }) => status).sort()).toEqual([...Array<number>(5).fill(401), ...Array<number>(7).fill(429)]);
  waitOutLocks();
});

test('signing out ends the session, signing out everywhere ends all of them', async () => {
  const { email } = api.operator.as('collector');
  const sessions = await Promise.all([1, 2, 3].map(() => signIn(email, TEST_PASSWORD).expect(200)));
  const [first, second, third] = sessions.map((answer) => ({ cookie: cookieOf(answer), csrf: answer.body.csrf as string }));
  if (!first || !second || !third) throw new Error('three sessions were opened');
  const read = (session: { cookie: string }) => api.anonymous.get('/v1/account').set('Cookie', session.cookie);
  await api.anonymous.post('/v1/sign-out').set('Cookie', first.cookie).set('Latchledger-Csrf', first.csrf).expect(204);
  await read(first).expect(401);
  await read(second).expect(200);
  await api.anonymous.post('/v1/sign-out/everywhere').set('Cookie', second.cookie).set('Latchledger-Csrf', second.csrf).expect(204);
  await read(second).expect(401);
  await read(third).expect(401);
});

test('a session ends after twelve idle hours, and after a week of use', async () => {
  const { email } = api.operator.as('bookkeeper');
  const idle = cookieOf(await signIn(email, TEST_PASSWORD).expect(200));
  api.clock.advance({ milliseconds: 12 * 3_600_000 + 1000 });
  await api.anonymous.get('/v1/account').set('Cookie', idle).expect(401);

  const used = cookieOf(await signIn(email, TEST_PASSWORD).expect(200));
  for (let step = 0; step < 15; step += 1) {
    api.clock.advance({ milliseconds: 11 * 3_600_000 });
    await api.anonymous.get('/v1/account').set('Cookie', used).expect(200);
  }
  api.clock.advance({ milliseconds: 11 * 3_600_000 });
  await api.anonymous.get('/v1/account').set('Cookie', used).expect(401);
});

test('a changed password closes the other sessions and keeps this one under a new secret', async () => {
  const { email } = api.operator.as('reviewer');
  waitOutLocks();
  const other = cookieOf(await signIn(email, TEST_PASSWORD).expect(200));
  const mine = await signIn(email, TEST_PASSWORD).expect(200);
  const change = (body: object) =>
    api.anonymous.post('/v1/account/password').set('Cookie', cookieOf(mine)).set('Latchledger-Csrf', mine.body.csrf as string).send(body);
  expect((await change({ currentPassword: 'not this one', newPassword: 'four green kettles 9' }).expect(401)).body.code).toBe('sign-in-refused');
  for (const newPassword of ['short', 'passwordpassword', 'aaaaaaaaaaaaaaaa', 'abcdefghijklmnop', `${email.split('@')[0] ?? ''}12`]) {
    expect((await change({ currentPassword: TEST_PASSWORD, newPassword }).expect(422)).body).toMatchObject({ code: 'password-too-weak', errors: [{ pointer: '#/newPassword' }] });
  }
  const changed = await change({ currentPassword: TEST_PASSWORD, newPassword: 'four green kettles 9' }).expect(200);
  await api.anonymous.get('/v1/account').set('Cookie', other).expect(401);
  await api.anonymous.get('/v1/account').set('Cookie', cookieOf(mine)).expect(401);
  await api.anonymous.get('/v1/account').set('Cookie', cookieOf(changed)).expect(200);
  await signIn(email, TEST_PASSWORD).expect(401);
  await signIn(email, 'four green kettles 9').expect(200);
});

test('a change with a session needs the header that only our own pages can send', async () => {
  const session = await signIn(api.operator.as('owner').email, TEST_PASSWORD).expect(200);
  const post = () => api.anonymous.post('/v1/sign-out').set('Cookie', cookieOf(session));
  expect((await post().expect(403)).body.code).toBe('cross-site-request');
  await post().set('Latchledger-Csrf', 'made up').expect(403);
  await post().set('Latchledger-Csrf', session.body.csrf as string).set('Origin', 'https://elsewhere.example').expect(403);
  await post().set('Latchledger-Csrf', session.body.csrf as string).set('Sec-Fetch-Site', 'cross-site').expect(403);
  await post().set('Latchledger-Csrf', session.body.csrf as string).set('Origin', api.url).expect(204);
  await api.anonymous.post('/v1/sign-in').set('Origin', 'https://elsewhere.example').send({ email: 'a@b.example', password: 'x' }).expect(403);
});

test('no secret and no address is logged or stored in clear', async () => {
  const lines: string[] = [];
  const { createLogger } = await import('#runtime/logging');
  const logged = await startTestApi({ logger: createLogger({ name: 'test', level: 'trace', destination: { write: (line) => void lines.push(line) } }) });
  try {
    const { email } = logged.operator.as('owner');
    const answer = await logged.anonymous.post('/v1/sign-in').send({ email, password: TEST_PASSWORD }).expect(200);
    await logged.anonymous.post('/v1/sign-in').send({ email, password: 'a wrong password' }).expect(401);
    const secret = cookieOf(answer).split('=')[1] ?? '';
    await logged.anonymous.get('/v1/account').set('Cookie', cookieOf(answer)).expect(200);
    const log = lines.join('');
    expect(log).toContain('/v1/sign-in');
    for (const word of [TEST_PASSWORD, 'a wrong password', secret, email]) expect(log).not.toContain(word);
  } finally {
    await logged.close();
  }
});

test('the language of the console is kept with the account, and only in one that there is', async () => {
  const { email } = api.operator.as('auditor');
  waitOutLocks();
  const signedIn = await signIn(email, TEST_PASSWORD).expect(200);
  expect(signedIn.body.language).toBeNull();
  const choose = (language: string) => api.anonymous.post('/v1/account/language').set('Cookie', cookieOf(signedIn)).set('Latchledger-Csrf', signedIn.body.csrf).send({ language });
  expect((await choose('fr').expect(400)).body.errors).toMatchObject([{ pointer: '#/language' }]);
  expect((await choose('es').expect(200)).body).toMatchObject({ email, language: 'es', csrf: signedIn.body.csrf });
  expect((await signIn(email, TEST_PASSWORD).expect(200)).body.language).toBe('es');
  // Nobody else's.
  expect((await signIn(api.operator.as('owner').email, TEST_PASSWORD).expect(200)).body.language).toBeNull();
});
