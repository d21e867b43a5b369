import type { Collection } from '#contracts/collection';
import { underField, type Outcome } from '#contracts/outcome';
import type { PaperVisit } from '#contracts/visit';
import type { Caller } from '../caller';
import { readBack } from '../collection/to-collection';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken, unknownReference } from '../refusal';
import { enterVisit, visitConstraintsUnder } from './enter';

const constraints = {
  ...visitConstraintsUnder('visit'),
  collection_pkey: taken(['id'], 'a collection with this id'),
  collection_tenant_id_collected_by_fkey: unknownReference(['collectedBy'], 'person'),
};

/** Enters a visit that somebody made without a phone, as they wrote it down, with all that belongs to it. */
export function enterPaperVisit(deps: Backoffice, caller: Caller, command: PaperVisit): Promise<Outcome<Collection>> {
  const { id = deps.newId(), collectedBy, visit } = command;
  return perform<Collection>(
    deps,
    caller,
    'collection.create',
    async ({ tx, now }) => {
      const entered = await enterVisit(tx, visit, { caller, now, newId: deps.newId, collectionId: id, collectedBy });
      return entered.ok ? readBack(tx, entered.value) : underField('visit', entered);
    },
    { constraints },
  );
}
