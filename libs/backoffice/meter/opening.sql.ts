import type { BoardOpening } from '#contracts/meter';
import type { TenantTransaction } from '#database/tenant';

export type OpeningRow = {
  id: string;
  machine_id: string;
  board_id: string;
  opened_at: Date;
  opened_by: string | null;
  why: BoardOpening['why'];
  note: string;
  recorded_at: Date;
  recorded_by: string;
  taken_back_at: Date | null;
  taken_back_by: string | null;
  taken_back_because: string | null;
};

const columns = 'o.id, o.machine_id, o.board_id, o.opened_at, o.opened_by, o.why, o.note, o.recorded_at, o.recorded_by, o.taken_back_at, o.taken_back_by, o.taken_back_because';

/** The latest first, those that were taken back too. */
export async function selectOpenings(tx: TenantTransaction, { machineId }: { readonly machineId: string }): Promise<OpeningRow[]> {
  return (await tx.sql<OpeningRow>(`SELECT ${columns} FROM board_opening o WHERE o.tenant_id = $1 AND o.machine_id = $2 ORDER BY o.opened_at DESC, o.id`, [tx.tenantId, machineId])).rows;
}

export async function selectOpening(tx: TenantTransaction, id: string): Promise<OpeningRow | null> {
  return (await tx.sql<OpeningRow>(`SELECT ${columns} FROM board_opening o WHERE o.tenant_id = $1 AND o.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

type NewOpening = Pick<OpeningRow, 'id' | 'machine_id' | 'board_id' | 'opened_at' | 'opened_by' | 'why' | 'note' | 'recorded_at'>;

export async function insertOpening(tx: TenantTransaction, row: NewOpening): Promise<void> {
  await tx.sql(
    'INSERT INTO board_opening (tenant_id, id, machine_id, board_id, opened_at, opened_by, why, note, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)',
    [tx.tenantId, row.id, row.machine_id, row.board_id, row.opened_at, row.opened_by, row.why, row.note, row.recorded_at, tx.actor],
  );
}

/** Takes an opening back, and says whether it stood. */
export async function updateTakenBack(tx: TenantTransaction, { id, reason, now }: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE board_opening SET taken_back_at = $3, taken_back_by = $4, taken_back_because = $5 WHERE tenant_id = $1 AND id = $2 AND taken_back_at IS NULL', [tx.tenantId, id, now, tx.actor, reason]);
  return rowCount === 1;
}
