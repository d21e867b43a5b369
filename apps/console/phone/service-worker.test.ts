export {};

/** As much of the event as is used. */
type Fetched = { request: Request; respondWith: (answer: Promise<Response>) => void };

let listen: (event: Fetched) => void;
const kept = new Map([['/', 'the console'], ['/assets/start.js', 'its script']]);

beforeAll(() => {
  const match = async (pathname: string) => (kept.has(pathname) ? new Response(kept.get(pathname)) : undefined);
  Object.assign(globalThis, {
    location: new URL('http://127.0.0.1/'),
    caches: { open: async () => ({ match }) },
    addEventListener: (_name: string, heard: (event: Fetched) => void) => {
      listen = heard;
    },
  });
  // It is a script and no module: it has nothing to import.
  jest.requireActual('./service-worker');
});

/** What a page gets; null where the request passes by. */
async function answerTo(request: Partial<Request> & { url: string }): Promise<string | null> {
  const answers: Promise<Response>[] = [];
  listen({ request: { method: 'GET', ...request } as Request, respondWith: (given) => void answers.push(given) });
  return (await answers[0])?.text() ?? null;
}

const screen = { url: 'http://127.0.0.1/operators/one/today', mode: 'navigate' } as const;

it.each([
  ['no connection', () => Promise.reject(new TypeError('no connection')), 'the console'],
  ['a proxy whose server is away', async () => new Response('bad gateway', { status: 502 }), 'the console'],
  ['the server', async () => new Response('of today'), 'of today'],
  ['a page that the server does not have', async () => new Response('not here', { status: 404 }), 'not here'],
])('answers for a screen with %s', async (_what, network, text) => {
  jest.spyOn(globalThis, 'fetch').mockImplementation(network);
  expect(await answerTo(screen)).toBe(text);
});

it('has the files of the console, and lets the api pass', async () => {
  jest.spyOn(globalThis, 'fetch').mockRejectedValue(new TypeError('no connection'));
  expect(await answerTo({ url: 'http://127.0.0.1/assets/start.js', mode: 'cors' })).toBe('its script');
  expect(await answerTo({ url: 'http://127.0.0.1/v1/account', mode: 'cors' })).toBeNull();
});
