import type { CollectionKeyCheck, NameKeyHolder } from '#contracts/collection-key';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unknownReference } from '../refusal';
import { lockCollections } from '../collection/collection.sql';
import { readChecks } from './check';
import { insertKeyHolder } from './name.sql';

/** Says later, or says otherwise, whose key opened the boxes. What was said before stays in the books. */
export async function nameKeyHolder(deps: Backoffice, caller: Caller, command: NameKeyHolder & { readonly id: string }): Promise<Outcome<CollectionKeyCheck>> {
  return perform(
    deps,
    caller,
    'collection-key.name',
    async ({ tx, now }) => {
      const [collection] = await lockCollections(tx, [command.id]);
      if (collection === undefined) return refused('not-found');
      if (collection.state === 'discarded') return refused('wrong-state', { detail: 'The collection was discarded.' });
      await insertKeyHolder(tx, {
        id: deps.newId(),
        collectionId: command.id,
        personId: command.keyHolderId ?? null,
        boxesExchanged: command.boxesExchanged ?? false,
        reason: command.reason,
        now,
      });
      const [check] = await readChecks(tx, { collectionId: command.id });
      if (check === undefined) throw new Error(`collection ${command.id} is gone`);
      return done(check);
    },
    { constraints: { collection_key_holder_person: unknownReference(['keyHolderId'], 'person') } },
  );
}
