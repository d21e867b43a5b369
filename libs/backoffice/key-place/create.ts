import type { CreateKeyPlace, KeyPlace } from '#contracts/key-place';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { placeConstraints } from './constraints';
import { insertPlace, insertResponsible, selectPlace } from './key-place.sql';
import { wrongKeeper } from './wrong-keeper';

/** Records a hook or key safe at a site. */
export async function createKeyPlace(deps: Backoffice, caller: Caller, command: CreateKeyPlace): Promise<Outcome<KeyPlace>> {
  return perform(
    deps,
    caller,
    'key-place.create',
    async ({ tx, now }) => {
      const wrong = await wrongKeeper(tx, { personId: command.responsiblePersonId, field: 'responsiblePersonId', now });
      if (wrong !== null) return wrong;
      const id = command.id ?? deps.newId();
      await insertPlace(tx, { ...command, id, now });
      await insertResponsible(tx, { id: deps.newId(), placeId: id, personId: command.responsiblePersonId, since: null, now });
      const place = await selectPlace(tx, id);
      if (place === null) throw new Error(`key place ${id} was not stored`);
      return done(place);
    },
    { constraints: placeConstraints },
  );
}
