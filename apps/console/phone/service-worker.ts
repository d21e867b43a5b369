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
  if (request.mode === 'navigate') event.respondWith(fetch(request).catch(async () => kept('/')));
  else if (pathname.startsWith('/assets/')) event.respondWith(assetOf(request, pathname));
});

async function assetOf(request: Request, pathname: string): Promise<Response> {
  const found = await (await caches.open(CACHE)).match(pathname);
  return found ?? fetch(request);
}

async function kept(pathname: string): Promise<Response> {
  return (await (await caches.open(CACHE)).match(pathname)) ?? Response.error();
}

function isFetched(event: Event): event is Fetched {
  return 'request' in event && 'respondWith' in event;
}
