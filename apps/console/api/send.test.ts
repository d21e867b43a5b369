import { answerSignInAgain, isWaitingForSignIn } from './expired-session';

/** What the language of the page is read from. */
Object.assign(globalThis, { navigator: { languages: ['en-US'] } });

const expired = () => new Response('{}', { status: 401 });
const fine = () => new Response('{}', { status: 200 });

it('asks once to sign in again, also where an answer about the session before comes long after the others', async () => {
  const { rememberCsrfToken, sendFor } = await import('./send');
  const answers: ((response: Response) => void)[] = [];
  jest.spyOn(globalThis, 'fetch').mockImplementation(() => new Promise((resolve) => answers.push(resolve)));
  const send = sendFor('an-operator');
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
