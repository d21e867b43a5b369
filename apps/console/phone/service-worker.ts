/**
 * Answers from the store that the collector's page has filled, when the network does not: a screen by the document of the
 * console, a file of it by its name, which changes with its content. Requests to the api pass by untouched.
 */
const CACHE = 'latchledger-page';

interface Fetched extends Event {
  readonly request: Request;
  readonly respondWith: (answer: Promise<Response>) => void;
}

addEventListener('fetch', (event) => {
  if (!isFetched(event)) return;
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin) return;
  if (request.mode === 'navigate') event.respondWith(screenFor(request));
  else if (pathname.startsWith('/assets/')) event.respondWith(assetOf(request, pathname));
});

/** Where a proxy answers that the server is away, the collector's stops are here all the same. */
async function screenFor(request: Request): Promise<Response> {
  try {
    const answer = await fetch(request);
    return answer.status < 500 ? answer : ((await found('/')) ?? answer);
  } catch {
    return (await found('/')) ?? Response.error();
  }
}

async function assetOf(request: Request, pathname: string): Promise<Response> {
  return (await found(pathname)) ?? fetch(request);
}

async function found(pathname: string): Promise<Response | undefined> {
  return (await caches.open(CACHE)).match(pathname);
}

function isFetched(event: Event): event is Fetched {
  return 'request' in event && 'respondWith' in event;
}
