import type { Game } from '#contracts/game';
import type { PerformOptions } from '../perform';
import { taken } from '../refusal';
import type { GameRow } from './game.sql';

/** A stored game as the API shows it. */
export function toGame(row: GameRow): Game {
  return { id: row.id, code: row.code, title: row.title, kind: row.kind, revision: row.revision };
}

export const gameConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  game_pkey: taken(['id'], 'a game with this id'),
  game_tenant_id_code_key: taken(['code'], 'a game with this code'),
};
