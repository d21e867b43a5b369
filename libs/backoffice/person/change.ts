import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { ChangePerson, Person } from '#contracts/person';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { lockPerson, updatePerson } from './person.sql';
import { personConstraints, toPerson } from './to-person';

/** Changes what is said about a person; a day of leaving ends their work. */
export async function changePerson(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangePerson },
): Promise<Outcome<Person>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'person.change',
    async ({ tx }) => {
      const before = await lockPerson(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      if (before.erased_at !== null) return refused('wrong-state', { detail: 'Who this person was is erased: nothing is written about them any more.' });
      const wrong = unprintable({ name: change.name });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const after = await updatePerson(tx, {
        ...before,
        code: change.code ?? before.code,
        name: change.name ?? before.name,
        email: change.email === undefined ? before.email : change.email,
        started_on: change.startedOn ?? before.started_on,
        left_on: change.leftOn === undefined ? before.left_on : change.leftOn,
      });
      return done(toPerson(after));
    },
    { constraints: personConstraints },
  );
}
