import type { CreateGame, Game } from '#contracts/game';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertGame } from './game.sql';
import { gameConstraints, toGame } from './to-game';

/** Records a game that can be installed in machines. */
export async function createGame(deps: Backoffice, caller: Caller, command: CreateGame): Promise<Outcome<Game>> {
  return perform(
    deps,
    caller,
    'game.create',
    async ({ tx, now }) => {
      const wrong = unprintable({ title: command.title });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const { code, title, kind } = command;
      return done(toGame(await insertGame(tx, { id: command.id ?? deps.newId(), code, title, kind, now })));
    },
    { constraints: gameConstraints },
  );
}
