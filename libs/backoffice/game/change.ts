import type { ChangeGame, Game } from '#contracts/game';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { lockGame, updateGame } from './game.sql';
import { gameConstraints, toGame } from './to-game';

/** Changes what is said about a game. */
export async function changeGame(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeGame },
): Promise<Outcome<Game>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'game.change',
    async ({ tx }) => {
      const before = await lockGame(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const wrong = unprintable({ title: change.title });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const after = await updateGame(tx, {
        ...before,
        code: change.code ?? before.code,
        title: change.title ?? before.title,
        kind: change.kind ?? before.kind,
      });
      return done(toGame(after));
    },
    { constraints: gameConstraints },
  );
}
