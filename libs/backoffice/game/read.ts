import type { Game, GameListQuery } from '#contracts/game';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectGame, selectGames } from './game.sql';
import { toGame } from './to-game';

/** One game. */
export async function readGame(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Game>> {
  return perform(deps, caller, 'game.read', async ({ tx }) => {
    const row = await selectGame(tx, query.id);
    return row === null ? refused('not-found') : done(toGame(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Games by code. */
export async function listGames(deps: Backoffice, caller: Caller, query: GameListQuery): Promise<Outcome<Page<Game>>> {
  return perform(deps, caller, 'game.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectGames(tx, {
      after: after?.[0] ?? null,
      limit: query.limit,
      pattern: containsPattern(query.search),
      kind: query.kind ?? null,
    });
    return done(toPage({ rows, limit: query.limit, item: toGame, keyOf: (row) => [row.code] }));
  });
}
