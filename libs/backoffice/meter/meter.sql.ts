import type { TenantTransaction } from '#database/tenant';
import type { MeterTender } from '#domain/meters/meter';
import type { CurrencyCode } from '#domain/money/currency';
import { standingValues } from './price.sql';

/** SQL: whether a meter `m` of a board `k` says how much cash lies in the box. Second counters, and plays beside cash, say nothing. */
export const countsCash = `m.second_of IS NULL
     AND NOT (m.tender = 'plays' AND EXISTS (SELECT FROM meter cash WHERE cash.tenant_id = m.tenant_id AND cash.board_id = k.id AND cash.tender IN ('coin', 'note')))`;

/** A meter with its board. `unit_values`: moments in milliseconds and minor units as text, rising. */
export type MeterRow = {
  id: string;
  board_id: string;
  machine_id: string;
  board_label: string;
  fitted_at: Date;
  removed_at: Date | null;
  label: string;
  tender: MeterTender;
  /** The meter beside which it counts the same again. */
  second_of: string | null;
  digits: number | null;
  capacity: bigint;
  currency: CurrencyCode;
  most_per_hour: bigint;
  unit_values: readonly { fromMs: number; minor: string }[];
  /** Moments, in milliseconds, at which the board was opened and nobody read it. */
  opened_ms: readonly number[];
};

const inMs = (at: string): string => `floor(extract(epoch FROM ${at}) * 1000)::bigint`;

const meterColumns = `
  m.id, m.board_id, m.machine_id, b.label AS board_label, b.fitted_at, b.removed_at, m.label, m.tender, m.second_of, m.digits, m.capacity, m.currency, m.most_per_hour,
  (SELECT jsonb_agg(jsonb_build_object('fromMs', ${inMs('v.effective_at')}, 'minor', v.unit_value_minor::text) ORDER BY v.effective_at, v.first_at)
     FROM (${standingValues}) v WHERE v.tenant_id = m.tenant_id AND v.meter_id = m.id AND NOT v.withdrawn) AS unit_values,
  (SELECT coalesce(jsonb_agg(${inMs('o.opened_at')} ORDER BY o.opened_at), '[]') FROM board_opening o WHERE o.tenant_id = m.tenant_id AND o.board_id = m.board_id AND o.taken_back_at IS NULL) AS opened_ms`;

/** Meters of machines, board by board, with those of boards that were taken out. */
export async function selectMeters(tx: TenantTransaction, machineIds: readonly string[]): Promise<MeterRow[]> {
  const { rows } = await tx.sql<MeterRow>(
    `SELECT ${meterColumns}
       FROM meter m JOIN counter_board b ON b.tenant_id = m.tenant_id AND b.id = m.board_id
      WHERE m.tenant_id = $1 AND m.machine_id = ANY ($2::uuid[])
      ORDER BY b.fitted_at, m.label`,
    [tx.tenantId, machineIds],
  );
  return rows;
}

/** Whoever reads meters or changes boards holds their machines, so that two readings of one moment meet. */
export async function lockMachines(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ id: string }>('SELECT id FROM machine WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR NO KEY UPDATE', [tx.tenantId, ids]);
  return new Set(rows.map(({ id }) => id));
}

/** Holds the machines of some meters. */
export async function lockMachinesOfMeters(tx: TenantTransaction, meterIds: readonly string[]): Promise<void> {
  if (meterIds.length === 0) return;
  const { rows } = await tx.sql<{ machine_id: string }>('SELECT DISTINCT machine_id FROM meter WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [tx.tenantId, meterIds]);
  await lockMachines(tx, rows.map((row) => row.machine_id));
}

export async function isMachine(tx: TenantTransaction, id: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM machine WHERE tenant_id = $1 AND id = $2', [tx.tenantId, id])).rowCount > 0;
}

/** Machines of these with a board in them at a moment. */
export async function selectMetered(tx: TenantTransaction, { machineIds, at }: { readonly machineIds: readonly string[]; readonly at: Date }): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ machine_id: string }>(
    'SELECT DISTINCT machine_id FROM counter_board WHERE tenant_id = $1 AND machine_id = ANY ($2::uuid[]) AND fitted_at <= $3 AND (removed_at IS NULL OR removed_at > $3)',
    [tx.tenantId, machineIds, at],
  );
  return new Set(rows.map((row) => row.machine_id));
}

export async function insertBoard(tx: TenantTransaction, board: { readonly id: string; readonly machineId: string; readonly label: string; readonly fittedAt: Date; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO counter_board (tenant_id, id, machine_id, label, fitted_at, created_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId,
    board.id,
    board.machineId,
    board.label,
    board.fittedAt,
    board.now,
  ]);
}

export type NewMeter = {
  readonly id: string;
  readonly label: string;
  readonly tender: MeterTender;
  readonly secondOf: string | null;
  readonly digits: number | null;
  readonly capacity: bigint;
  readonly currency: string;
  readonly mostPerHour: number;
};

export async function insertMeters(tx: TenantTransaction, meters: readonly NewMeter[], { boardId, machineId }: { readonly boardId: string; readonly machineId: string }): Promise<void> {
  const column = <Value>(value: (meter: NewMeter) => Value): Value[] => meters.map(value);
  await tx.sql(
    `INSERT INTO meter (tenant_id, id, board_id, machine_id, label, tender, second_of, digits, capacity, currency, most_per_hour)
     SELECT $1, m.id, $2, $3, m.label, m.tender, m.second_of, m.digits, m.capacity, m.currency, m.most_per_hour
       FROM unnest($4::uuid[], $5::text[], $6::text[], $7::uuid[], $8::smallint[], $9::bigint[], $10::text[], $11::bigint[]) AS m (id, label, tender, second_of, digits, capacity, currency, most_per_hour)`,
    [
      tx.tenantId,
      boardId,
      machineId,
      column((m) => m.id),
      column((m) => m.label),
      column((m) => m.tender),
      column((m) => m.secondOf),
      column((m) => m.digits),
      column((m) => m.capacity),
      column((m) => m.currency),
      column((m) => m.mostPerHour),
    ],
  );
}

export async function insertUnitValues(tx: TenantTransaction, values: readonly { readonly meterId: string; readonly minor: bigint; readonly entry?: number }[], { at, now }: { readonly at: Date; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO meter_value (tenant_id, meter_id, effective_at, entry, unit_value_minor, recorded_at, recorded_by)
     SELECT $1, v.meter_id, $2, v.entry, v.minor, $3, $4 FROM unnest($5::uuid[], $6::bigint[], $7::integer[]) AS v (meter_id, minor, entry)`,
    [tx.tenantId, at, now, tx.actor, values.map(({ meterId }) => meterId), values.map(({ minor }) => minor), values.map(({ entry = 0 }) => entry)],
  );
}

/** Ends the board that is in the machine, and says whether there was one. */
export async function endBoard(tx: TenantTransaction, board: { readonly id: string; readonly removedAt: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE counter_board SET removed_at = $3 WHERE tenant_id = $1 AND id = $2 AND removed_at IS NULL', [tx.tenantId, board.id, board.removedAt]);
  return rowCount === 1;
}

export async function selectMachineOfBoard(tx: TenantTransaction, boardId: string): Promise<string | null> {
  const { rows } = await tx.sql<{ machine_id: string }>('SELECT machine_id FROM counter_board WHERE tenant_id = $1 AND id = $2', [tx.tenantId, boardId]);
  return rows[0]?.machine_id ?? null;
}
