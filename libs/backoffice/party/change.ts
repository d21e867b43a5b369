import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { ChangeParty, Party } from '#contracts/party';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertAddressChange } from './address-change.sql';
import { lockParty, updateParty } from './party.sql';
import { partyConstraints, toParty } from './to-party';

/** Changes what is said about a party. Statements issued before keep what they said; an address that is replaced is told by mail. */
export async function changeParty(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeParty },
): Promise<Outcome<Party>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'party.change',
    async ({ tx, now }) => {
      const before = await lockParty(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      if (before.erased_at !== null && change.name === undefined) return refusedFields('invalid-command', [{ path: ['name'], code: 'missing', message: 'Who they were is erased: record their name again.' }]);
      const wrong = unprintable({ name: change.name, address: change.address });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const after = await updateParty(tx, {
        ...before,
        code: change.code ?? before.code,
        name: change.name ?? before.name,
        address: change.address ?? before.address,
        locale: change.locale ?? before.locale,
        email: change.email === undefined ? before.email : change.email,
        erased_at: null,
      });
      if (before.email !== null && before.email.toLowerCase() !== after.email?.toLowerCase()) {
        await insertAddressChange(tx, { id: deps.newId(), partyId: id, oldEmail: before.email, newEmail: after.email, now });
      }
      return done(toParty(after));
    },
    { constraints: partyConstraints },
  );
}
