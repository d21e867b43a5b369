import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { RetentionKind } from '#domain/retention/kinds';
import { onlyRow } from '../rows';

export type DecisionRow = { kind: RetentionKind; keep: number | null; reason: string; decided_at: Date; decided_by: string };

/** The last decision of each kind that the owner decided about. */
export async function selectDecisions(tx: TenantTransaction): Promise<ReadonlyMap<RetentionKind, DecisionRow>> {
  const { rows } = await tx.sql<DecisionRow>(
    'SELECT DISTINCT ON (kind) kind, keep, reason, decided_at, decided_by FROM retention_decision WHERE tenant_id = $1 ORDER BY kind, decided_at DESC, id DESC',
    [tx.tenantId],
  );
  return new Map(rows.map((row) => [row.kind, row]));
}

export async function insertDecision(tx: TenantTransaction, decision: { readonly id: string; readonly kind: RetentionKind; readonly keep: number | null; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO retention_decision (tenant_id, id, kind, keep, reason, decided_at, decided_by) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId,
    decision.id,
    decision.kind,
    decision.keep,
    decision.reason,
    decision.now,
    tx.actor,
  ]);
}

export type HoldRow = { id: string; reason: string; placed_at: Date; placed_by: string; lifted_at: Date | null; lifted_by: string | null; lifted_reason: string | null };

export async function selectHolds(tx: TenantTransaction): Promise<HoldRow[]> {
  const { rows } = await tx.sql<HoldRow>(
    `SELECT id, reason, placed_at, placed_by, lifted_at, lifted_by, lifted_reason FROM retention_hold WHERE tenant_id = $1
      ORDER BY lifted_at IS NOT NULL, placed_at DESC, id DESC`,
    [tx.tenantId],
  );
  return rows;
}

/** Whether one stands. Whoever removes or erases is asked again by the database at the end of the transaction. */
export async function isHeld(tx: TenantTransaction): Promise<boolean> {
  return (await tx.sql('SELECT FROM retention_hold WHERE tenant_id = $1 AND lifted_at IS NULL LIMIT 1', [tx.tenantId])).rowCount > 0;
}

/** When the last of those that were lifted was. */
export async function selectLastLifted(tx: TenantTransaction): Promise<Date | null> {
  const { rows } = await tx.sql<{ lifted_at: Date | null }>('SELECT max(lifted_at) AS lifted_at FROM retention_hold WHERE tenant_id = $1', [tx.tenantId]);
  return rows[0]?.lifted_at ?? null;
}

/** Waits for those who are at the end of removing or erasing (`app.refuse_while_held`): once it is committed nothing goes. */
export async function insertHold(tx: TenantTransaction, hold: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('retention:' || $1::text, 0))`, [tx.tenantId]);
  await tx.sql('INSERT INTO retention_hold (tenant_id, id, reason, placed_at, placed_by) VALUES ($1, $2, $3, $4, $5)', [tx.tenantId, hold.id, hold.reason, hold.now, tx.actor]);
}

/** False where it does not stand. */
export async function updateLifted(tx: TenantTransaction, hold: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE retention_hold SET lifted_at = $3, lifted_by = $4, lifted_reason = $5 WHERE tenant_id = $1 AND id = $2 AND lifted_at IS NULL', [
    tx.tenantId,
    hold.id,
    hold.now,
    tx.actor,
    hold.reason,
  ]);
  return rowCount === 1;
}

/** The first instant of a day at a place. */
export async function selectStartOfDay(tx: TenantTransaction, day: { readonly day: LocalDate; readonly timeZone: string }): Promise<Date> {
  const { rows } = await tx.sql<{ start: Date }>('SELECT $1::date::timestamp AT TIME ZONE $2 AS start', [day.day, day.timeZone]);
  const start = rows[0]?.start;
  if (start === undefined) throw new Error('a day has no beginning');
  return start;
}

/** How many records of a kind are older than an instant and may go, and since when the oldest is kept. */
export async function countRemovable(tx: TenantTransaction, { kind, before }: { readonly kind: RetentionKind; readonly before: Date }): Promise<{ records: number; oldest: Date | null }> {
  const { rows } = await tx.sql<{ records: bigint; oldest: Date | null }>('SELECT coalesce(sum(records), 0)::bigint AS records, min(oldest) AS oldest FROM app.count_removable($1, $2)', [kind, before]);
  return { records: Number(rows[0]?.records ?? 0n), oldest: rows[0]?.oldest ?? null };
}

/** Removes the oldest of them, and writes that into the run of the day; a run that is over removes nothing more. */
export async function removeExpired(tx: TenantTransaction, batch: { readonly kind: RetentionKind; readonly before: Date; readonly atMost: number; readonly now: Date }): Promise<{ removed: number; isOver: boolean }> {
  const { rows } = await tx.sql<{ removed: number; is_over: boolean }>('SELECT removed, is_over FROM app.remove_expired($1, $2, $3, $4)', [batch.kind, batch.before, batch.atMost, batch.now]);
  const { removed, is_over: isOver } = onlyRow(rows);
  return { removed, isOver };
}

export type RunRow = { kind: RetentionKind; local_date: LocalDate; before: Date; removed: bigint; ended_at: Date | null };

/** The latest first. */
export async function selectRuns(tx: TenantTransaction, { limit }: { readonly limit: number }): Promise<RunRow[]> {
  const { rows } = await tx.sql<RunRow>(
    'SELECT kind, local_date, before, removed, ended_at FROM retention_run WHERE tenant_id = $1 AND removed > 0 ORDER BY local_date DESC, kind LIMIT $2',
    [tx.tenantId, limit],
  );
  return rows;
}
