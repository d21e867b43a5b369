import { forgetCounted } from './counted-elsewhere';
import { forgetPage } from './offline';
import { countsOf, forget, visitsOf, type Holder } from './store';

export interface Unsent {
  readonly visits: number;
  readonly counts: number;
}

/** Visits, finished or not, and begun counts that nobody handed in since, that are in this browser and nowhere else; none where it keeps nothing. */
export async function unsentWork(holder: Holder, collectionOf: Parameters<typeof forgetCounted>[1]): Promise<Unsent> {
  await forgetCounted(holder, collectionOf).catch(() => undefined);
  const [visits, counts] = await Promise.all([visitsOf(holder).catch(() => []), countsOf(holder).catch(() => [])]);
  return { visits: visits.length, counts: counts.length };
}

/** Wipes what the browser kept of whoever signs out, counts that were begun among it; visits that are not sent stay for when they come back. */
export async function leavePhone(holder: Holder): Promise<void> {
  await forget(holder);
  await forgetPage();
}
