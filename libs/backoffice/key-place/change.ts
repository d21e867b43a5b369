import type { AddKeyPlaceUser, ChangeKeyPlace, EndKeyPlaceUser, KeyPlace } from '#contracts/key-place';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { placeConstraints as constraints } from './constraints';
import { endResponsible, endUser, insertResponsible, insertUser, lockPlace, selectOpenUser, selectPlace, selectResponsible, updatePlace } from './key-place.sql';
import { wrongKeeper } from './wrong-keeper';

/** Changes its name, or says who answers for it from a moment on. Who did before stays on record for what happened before. */
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
    async ({ tx, now }) => {
      const before = await lockPlace(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      if (change.responsiblePersonId !== undefined) {
        const since = momentOf(change.since, { now, field: 'since' });
        if (!since.ok) return since;
        const wrong = await succeed(tx, { id: deps.newId(), placeId: id, personId: change.responsiblePersonId, since: since.value, isSaid: change.since !== undefined, now });
        if (wrong !== null) return wrong;
      }
      await updatePlace(tx, { id, name: change.name ?? before.name });
      return done(await placeNow(tx, id));
    },
    { constraints },
  );
}

/**
 * Lets somebody follow who answers for it so far. Nothing changes when that is the same person, so another time for them is
 * refused, and not passed over as if it were written down.
 */
async function succeed(tx: TenantTransaction, next: { id: string; placeId: string; personId: string; since: Date; isSaid: boolean; now: Date }): Promise<Outcome<never> | null> {
  const present = await selectResponsible(tx, next.placeId);
  if (present.person_id === next.personId) {
    if (!next.isSaid || present.started_at?.getTime() === next.since.getTime()) return null;
    const message = `The same person answers for it ${present.started_at === null ? 'since the place is there' : `since ${present.started_at.toISOString()}`} already: that stays.`;
    return refusedFields('invalid-command', [{ path: ['since'], code: 'answers-already', message }]);
  }
  const wrong = await wrongKeeper(tx, { personId: next.personId, field: 'responsiblePersonId', now: next.now });
  if (wrong !== null) return wrong;
  if (present.started_at !== null && next.since <= present.started_at) {
    return refusedFields('invalid-command', [{ path: ['since'], code: 'before-predecessor', message: `Somebody else answers for it since ${present.started_at.toISOString()}: say a later time.` }]);
  }
  await endResponsible(tx, { id: present.id, at: next.since, now: next.now });
  await insertResponsible(tx, next);
  return null;
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
      const wrong = await wrongKeeper(tx, { personId, field: 'personId', now });
      if (wrong !== null) return wrong;
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
