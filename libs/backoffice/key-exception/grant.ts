import type { EndKeyException, GrantKeyException, KeyException } from '#contracts/key-exception';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { taken, unknownReference } from '../refusal';
import { endException, insertException, lockException } from './key-exception.sql';

const constraints = {
  key_exception_pkey: taken(['id'], 'an exception with this id'),
  key_exception_tenant_id_site_id_fkey: unknownReference(['siteId'], 'site'),
  key_exception_tenant_id_person_id_fkey: unknownReference(['personId'], 'person'),
};

/** Lets cash-box keys be given to somebody of a site; every event that it lets through names it. */
export async function grantKeyException(deps: Backoffice, caller: Caller, command: GrantKeyException): Promise<Outcome<KeyException>> {
  return perform(
    deps,
    caller,
    'key-exception.grant',
    async ({ tx, now }) => {
      const { siteId, personId, label, reason, reviewOn } = command;
      if ((siteId === null) === (personId === null)) {
        return refusedFields('invalid-command', [{ path: ['siteId'], code: 'site-or-person', message: 'An exception is for a site or for a person: name one of them.' }]);
      }
      const from = momentOf(command.from, { now, field: 'from' });
      if (!from.ok) return from;
      const id = command.id ?? deps.newId();
      await insertException(tx, { id, siteId, personId, label, reason, reviewOn, from: from.value, now });
      return done({ id, siteId, personId, label, reason, from: from.value.toISOString(), until: null, reviewOn });
    },
    { constraints },
  );
}

/** Ends an exception. What went through while it held stays as it was recorded. */
export async function endKeyException(deps: Backoffice, caller: Caller, command: { readonly id: string } & EndKeyException): Promise<Outcome<KeyException>> {
  return perform(deps, caller, 'key-exception.end', async ({ tx, now }) => {
    const { id } = command;
    const held = await lockException(tx, id);
    if (held === null) return refused('not-found');
    const until = momentOf(command.until, { now, field: 'until' });
    if (!until.ok) return until;
    if (held.until !== null) return refusedFields('invalid-command', [{ path: ['until'], code: 'ended-already', message: `It ended at ${held.until}.` }]);
    if (until.value <= new Date(held.from)) return refusedFields('invalid-command', [{ path: ['until'], code: 'not-after-start', message: `It holds since ${held.from}.` }]);
    await endException(tx, { id, at: until.value, now });
    return done({ ...held, until: until.value.toISOString() });
  });
}
