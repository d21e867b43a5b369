import type { AddKeyPlaceUser, ChangeKeyPlace, EndKeyPlaceUser, KeyPlace } from '#contracts/key-place';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { placeConstraints as constraints } from './constraints';
import { endUser, insertUser, lockPlace, selectOpenUser, selectPlace, updatePlace } from './key-place.sql';

/** Changes its name or who is responsible for it. */
export async function changeKeyPlace(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeKeyPlace },
): Promise<Outcome<KeyPlace>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'key-place.change',
    async ({ tx }) => {
      const before = await lockPlace(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      await updatePlace(tx, { id, name: change.name ?? before.name, responsiblePersonId: change.responsiblePersonId ?? before.responsible_person_id });
      return done(await placeNow(tx, id));
    },
    { constraints },
  );
}

/** Puts a person on the list of those who may use it. */
export async function addKeyPlaceUser(deps: Backoffice, caller: Caller, command: { readonly id: string } & AddKeyPlaceUser): Promise<Outcome<KeyPlace>> {
  const { id, personId } = command;
  return perform(
    deps,
    caller,
    'key-place.change',
    async ({ tx, now }) => {
      if ((await lockPlace(tx, id)) === null) return refused('not-found');
      const from = momentOf(command.from, { now, field: 'from' });
      if (!from.ok) return from;
      await insertUser(tx, { id: deps.newId(), placeId: id, personId, from: from.value, now });
      return done(await placeNow(tx, id));
    },
    { constraints },
  );
}

/** Takes a person off the list. That they were on it stays on record. */
export async function endKeyPlaceUser(deps: Backoffice, caller: Caller, command: { readonly id: string } & EndKeyPlaceUser): Promise<Outcome<KeyPlace>> {
  const { id, personId } = command;
  return perform(deps, caller, 'key-place.change', async ({ tx, now }) => {
    if ((await lockPlace(tx, id)) === null) return refused('not-found');
    const until = momentOf(command.until, { now, field: 'until' });
    if (!until.ok) return until;
    const user = await selectOpenUser(tx, { placeId: id, personId });
    if (user === null) return refusedFields('invalid-command', [{ path: ['personId'], code: 'not-on-the-list', message: 'This person is not on the list of the place.' }]);
    if (until.value <= user.started_at) {
      return refusedFields('invalid-command', [{ path: ['until'], code: 'not-after-start', message: `They are on the list since ${user.started_at.toISOString()}.` }]);
    }
    await endUser(tx, { id: user.id, at: until.value, now });
    return done(await placeNow(tx, id));
  });
}

async function placeNow(tx: TenantTransaction, id: string): Promise<KeyPlace> {
  const place = await selectPlace(tx, id);
  if (place === null) throw new Error(`key place ${id} is gone`);
  return place;
}
