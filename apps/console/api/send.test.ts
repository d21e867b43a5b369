import { answerSignInAgain, isWaitingForSignIn } from './expired-session';

/** What the language of the page is read from. */
Object.assign(globalThis, { navigator: { languages: ['en-US'] } });

const expired = () => new Response('{}', { status: 401 });
const fine = () => new Response('{}', { status: 200, headers: { 'content-type': 'application/json' } });

it('asks once to sign in again, also where an answer about the session before comes long after the others', async () => {
  const { rememberCsrfToken, sendFor } = await import('./send');
  const answers: ((response: Response) => void)[] = [];
  jest.spyOn(globalThis, 'fetch').mockImplementation(() => new Promise((resolve) => answers.push(resolve)));
  const send = sendFor('an-operator', { asksAgain: true });
  const answer = async (index: number, response: Response) => {
    while (answers.length <= index) await new Promise(setImmediate);
    answers[index]?.(response);
  };
  rememberCsrfToken('before');
  const [first, second] = [send(new Request('http://127.0.0.1/one')), send(new Request('http://127.0.0.1/two'))];
  await answer(0, expired());
  while (!isWaitingForSignIn()) await new Promise(setImmediate);
  rememberCsrfToken('after');
  answerSignInAgain(true);
  await answer(2, fine());
  expect((await first).status).toBe(200);

  await answer(1, expired());
  await new Promise(setImmediate);
  expect(isWaitingForSignIn()).toBe(false);
  await answer(3, fine());
  expect((await second).status).toBe(200);
});

describe('an answer that is none', () => {
  const json = { 'content-type': 'application/json' };
  const answerWith = async (answer: Response) => {
    const { sendFor } = await import('./send');
    jest.spyOn(globalThis, 'fetch').mockResolvedValue(answer);
    return sendFor('an-operator', { asksAgain: true })(new Request('http://127.0.0.1/one'));
  };
  const cut = () =>
    new ReadableStream({
      pull: (to) => to.error(new TypeError('network error')),
    });

  it.each([
    ['cut off on its way', () => new Response(cut(), { status: 200, headers: json }), { kind: 'unreachable' }],
    ['the page of a proxy', () => new Response('<html></html>', { status: 200, headers: { 'content-type': 'text/html' } }), { kind: 'unreadable', status: 200 }],
    ['no JSON', () => new Response('{"items":[', { status: 200, headers: json }), { kind: 'unreadable', status: 200 }],
  ])('is trouble that can be said: %s', async (_what, answer, trouble) => {
    await expect(answerWith(answer())).rejects.toMatchObject({ trouble });
  });

  it('a whole one is handed on, a file as well', async () => {
    expect(await (await answerWith(new Response('{"a":1}', { status: 201, headers: json }))).json()).toEqual({ a: 1 });
    const file = await answerWith(new Response('%PDF', { headers: { 'content-type': 'application/pdf', 'content-disposition': 'attachment; filename="a.pdf"' } }));
    expect([await file.text(), file.headers.get('content-disposition')]).toEqual(['%PDF', 'attachment; filename="a.pdf"']);
    expect((await answerWith(new Response(null, { status: 204 }))).status).toBe(204);
  });
});

it('a wrong password is no expired session', async () => {
  const { sendFor } = await import('./send');
  const refusal = (code: string) => new Response(JSON.stringify({ code, title: 'refused', status: 401 }), { status: 401, headers: { 'content-type': 'application/problem+json' } });
  const send = sendFor(null, { asksAgain: true });
  jest.spyOn(globalThis, 'fetch').mockResolvedValueOnce(refusal('sign-in-refused'));
  await expect(send(new Request('http://127.0.0.1/one', { method: 'POST' }))).rejects.toMatchObject({ trouble: { kind: 'refused' } });
  jest.spyOn(globalThis, 'fetch').mockResolvedValueOnce(refusal('not-signed-in')).mockResolvedValueOnce(fine());
  const asked = send(new Request('http://127.0.0.1/one', { method: 'POST' }));
  while (!isWaitingForSignIn()) await new Promise(setImmediate);
  answerSignInAgain(true);
  expect((await asked).status).toBe(200);
});
