import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { CreateParty, Party } from '#contracts/party';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertParty } from './party.sql';
import { partyConstraints, toParty } from './to-party';

/** Records somebody who can be owed money under an agreement. */
export async function createParty(deps: Backoffice, caller: Caller, command: CreateParty): Promise<Outcome<Party>> {
  return perform(
    deps,
    caller,
    'party.create',
    async ({ tx, now }) => {
      const wrong = unprintable({ name: command.name, address: command.address });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const { code, name, address, locale, email = null } = command;
      return done(toParty(await insertParty(tx, { id: command.id ?? deps.newId(), code, name, address, locale, email, now })));
    },
    { constraints: partyConstraints },
  );
}
