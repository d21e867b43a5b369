/** Name of the store in which the service worker finds the page; see service-worker.ts. */
const CACHE = 'latchledger-page';

/**
 * Has the browser keep this page, so that it opens without a connection: the document, and what it has loaded so far. Does
 * nothing where the browser cannot do it (over plain http, in a private window), and says whether it could.
 */
export async function keepPageOffline(): Promise<boolean> {
  if (!('serviceWorker' in navigator) || !('caches' in window)) return false;
  try {
    await navigator.serviceWorker.register('/service-worker.js');
    const loaded = performance.getEntriesByType('resource').map(({ name }) => new URL(name));
    const assets = loaded.filter(({ origin, pathname }) => origin === window.location.origin && pathname.startsWith('/assets/')).map(({ pathname }) => pathname);
    const wanted = new Set(['/', '/mark.svg', ...assets]);
    const cache = await caches.open(CACHE);
    await cache.addAll(wanted);
    // Files of an older version; what is in use now was just put in.
    const known = await cache.keys();
    await Promise.all(known.filter(({ url }) => !wanted.has(new URL(url).pathname)).map((request) => cache.delete(request)));
    return true;
  } catch {
    return false;
  }
}

/** After signing out nothing opens without a connection. */
export async function forgetPage(): Promise<void> {
  if (!('caches' in window)) return;
  await caches.delete(CACHE);
}
