import type { ChangeKeyCode, KeyCode } from '#contracts/key-code';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { keyCodeConstraints } from './constraints';
import { lockKeyCode, updateKeyCode } from './key-code.sql';

/** Changes the name of a cut, or what is known of copies outside. */
export async function changeKeyCode(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeKeyCode },
): Promise<Outcome<KeyCode>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'key-code.change',
    async ({ tx }) => {
      const before = await lockKeyCode(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      return done(await updateKeyCode(tx, { ...before, code: change.code ?? before.code, outsideCopies: change.outsideCopies ?? before.outsideCopies }));
    },
    { constraints: keyCodeConstraints },
  );
}
