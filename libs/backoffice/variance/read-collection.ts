import { done, refused, type Outcome } from '#contracts/outcome';
import type { CollectionVariances } from '#contracts/variance';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import { selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readCompared } from './compared';

/** Each box of an accepted collection against its meters, tender by tender; what these do not say is named with the reason. */
export function readCollectionVariances(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<CollectionVariances>> {
  return perform<CollectionVariances>(deps, caller, 'variance.read', async (unit) => {
    const { tx } = unit;
    const collection = await selectCollection(tx, query.id);
    if (collection === null) return refused('not-found');
    const sealed = await refusedWhileSealed(unit, caller, [collection.site_id]);
    if (sealed !== null) return sealed;
    return done({ collectionId: query.id, ...(await readCompared(tx, { collectionId: query.id, placementId: null })) });
  });
}
