import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { CreatePerson, Person } from '#contracts/person';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertPerson } from './person.sql';
import { personConstraints, toPerson } from './to-person';

/** Records somebody who works for the operator or for one site. */
export async function createPerson(deps: Backoffice, caller: Caller, command: CreatePerson): Promise<Outcome<Person>> {
  return perform(
    deps,
    caller,
    'person.create',
    async ({ tx, now }) => {
      const wrong = unprintable({ name: command.name });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const row = await insertPerson(tx, {
        id: command.id ?? deps.newId(),
        code: command.code,
        name: command.name,
        employed_by: command.employedBy,
        site_id: command.siteId,
        email: command.email,
        started_on: command.startedOn,
        now,
      });
      return done(toPerson(row));
    },
    { constraints: personConstraints },
  );
}
