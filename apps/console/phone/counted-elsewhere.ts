import { codeOf } from '../api/problem';
import type { Collection } from '../api/shapes';
import { countsOf, forgetCount, type Holder } from './store';

/**
 * Wipes counts that somebody began here and that were handed in since, by somebody else or in another browser: what was typed
 * for them is of no more use, and stays no longer than needed. Without an answer they stay.
 */
export async function forgetCounted(holder: Holder, collectionOf: (id: string) => Promise<Pick<Collection, 'state'>>): Promise<void> {
  for (const { collectionId } of await countsOf(holder)) {
    if (await isOver(() => collectionOf(collectionId))) await forgetCount(holder, collectionId);
  }
}

/** Whoever counts by role is not shown a collection that waits: a refusal says as much as a state. */
export async function isOver(collection: () => Promise<Pick<Collection, 'state'>>): Promise<boolean> {
  try {
    return (await collection()).state !== 'open';
  } catch (error) {
    return ['not-found', 'being-counted'].includes(codeOf(error) ?? '');
  }
}
