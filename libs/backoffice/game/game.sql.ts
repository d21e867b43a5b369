import type { TenantTransaction } from '#database/tenant';
import { onlyRow } from '../rows';

export type GameRow = { id: string; code: string; title: string; kind: string; revision: number };

const columns = 'id, code, title, kind, revision';

export async function insertGame(tx: TenantTransaction, game: Omit<GameRow, 'revision'> & { now: Date }): Promise<GameRow> {
  const { rows } = await tx.sql<GameRow>(
    `INSERT INTO game (tenant_id, id, code, title, kind, created_at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING ${columns}`,
    [tx.tenantId, game.id, game.code, game.title, game.kind, game.now],
  );
  return onlyRow(rows);
}

export async function selectGame(tx: TenantTransaction, id: string): Promise<GameRow | null> {
  const { rows } = await tx.sql<GameRow>(`SELECT ${columns} FROM game WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockGame(tx: TenantTransaction, id: string): Promise<GameRow | null> {
  const { rows } = await tx.sql<GameRow>(`SELECT ${columns} FROM game WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateGame(tx: TenantTransaction, game: GameRow): Promise<GameRow> {
  const { rows } = await tx.sql<GameRow>(
    `UPDATE game SET code = $3, title = $4, kind = $5 WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`,
    [tx.tenantId, game.id, game.code, game.title, game.kind],
  );
  return onlyRow(rows);
}

export async function selectGames(
  tx: TenantTransaction,
  list: { after: string | null; limit: number; pattern: string | null; kind: string | null },
): Promise<GameRow[]> {
  const { rows } = await tx.sql<GameRow>(
    `SELECT ${columns} FROM game
      WHERE tenant_id = $1
        AND ($2::text IS NULL OR code > $2)
        AND ($3::text IS NULL OR code ILIKE $3 OR title ILIKE $3)
        AND ($4::text IS NULL OR kind = $4)
      ORDER BY code LIMIT $5`,
    [tx.tenantId, list.after, list.pattern, list.kind, list.limit + 1],
  );
  return rows;
}
