import type { CloseFailure, KeyMissedWhy } from '#contracts/close';
import type { TenantTransaction } from '#database/tenant';

export type BatchTask = 'settle' | 'review' | 'number' | 'render';

/** Why one subject of a batch was left out. `subjectId` is a period's where the task is `settle`, else a settlement's. `machines`: those at which it is to be mended; `collectionIds`: those with boxes for which it waits. */
export type BatchFailure = { readonly subjectId: string; readonly code: string; readonly message: string; readonly machines?: CloseFailure['machines']; readonly collectionIds?: readonly string[] };

export type NewBatch = { readonly id: string; readonly subjectIds: readonly string[] };

/** Each batch in a statement of its own: PostgreSQL has no arrays of arrays of different lengths. */
export async function insertBatches(
  tx: TenantTransaction,
  written: { closeRunId: string; task: BatchTask; batches: readonly NewBatch[]; requestedBy: string; createdAt: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO work_batch (tenant_id, id, close_run_id, task, subject_ids, state, requested_by, created_at)
     SELECT $1, b.id, $2, $3, ARRAY(SELECT value::uuid FROM jsonb_array_elements_text(b.subject_ids)), 'waiting', $4, $5
       FROM unnest($6::uuid[], $7::jsonb[]) AS b (id, subject_ids)`,
    [
      tx.tenantId,
      written.closeRunId,
      written.task,
      written.requestedBy,
      written.createdAt,
      written.batches.map((batch) => batch.id),
      written.batches.map((batch) => JSON.stringify(batch.subjectIds)),
    ],
  );
}

export type BatchRow = {
  readonly id: string;
  readonly close_run_id: string;
  readonly task: BatchTask;
  readonly subject_ids: readonly string[];
  readonly requested_by: string;
};

/**
 * Takes a waiting batch for this transaction. Nothing when it is done, or when another worker has it at this moment: that
 * one finishes it, or dies and leaves it waiting.
 */
export async function takeBatch(tx: TenantTransaction, batchId: string): Promise<BatchRow | undefined> {
  const { rows } = await tx.sql<BatchRow>(
    `SELECT id, close_run_id, task, subject_ids, requested_by FROM work_batch
      WHERE tenant_id = $1 AND id = $2 AND state = 'waiting' FOR UPDATE SKIP LOCKED`,
    [tx.tenantId, batchId],
  );
  return rows[0];
}

/** The same without taking it, for work that may be done twice. Nothing when it is done. */
export async function readBatch(tx: TenantTransaction, batchId: string): Promise<BatchRow | undefined> {
  const { rows } = await tx.sql<BatchRow>(
    `SELECT id, close_run_id, task, subject_ids, requested_by FROM work_batch WHERE tenant_id = $1 AND id = $2 AND state = 'waiting'`,
    [tx.tenantId, batchId],
  );
  return rows[0];
}

export async function finishBatch(
  tx: TenantTransaction,
  done: { id: string; doneCount: number; failures: readonly BatchFailure[]; finishedAt: Date },
): Promise<void> {
  await tx.sql(
    `UPDATE work_batch SET state = 'done', attempts = attempts + 1, done_count = $3, failures = $4, finished_at = $5
      WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, done.id, done.doneCount, JSON.stringify(done.failures), done.finishedAt],
  );
}

/** What statements can wait for: the key that signs them, or the stamp on their signature. */
export type Missed = { readonly what: 'key'; readonly why: KeyMissedWhy; readonly said: string } | { readonly what: 'stamp'; readonly said: string };

/**
 * Notes what a batch waits for, and gives since when: that stays unless it got on meanwhile; what was said of it is the last word. The batch keeps waiting.
 * Undefined when it is done by now.
 */
export async function noteMissed(tx: TenantTransaction, { id, missed, gotOn, now }: { id: string; missed: Missed; gotOn: boolean; now: Date }): Promise<Date | undefined> {
  const [noted, other] = missed.what === 'key' ? ['key', 'stamp'] : ['stamp', 'key'];
  const { rows } = await tx.sql<{ since: Date }>(
    `UPDATE work_batch SET ${noted}_missed_at = CASE WHEN $5 THEN $3 ELSE coalesce(${noted}_missed_at, $3) END, ${noted}_missed = $4, ${other}_missed_at = NULL, ${other}_missed = NULL,
            key_missed_why = $6
      WHERE tenant_id = $1 AND id = $2 AND state = 'waiting' RETURNING ${noted}_missed_at AS since`,
    [tx.tenantId, id, now, missed.said, gotOn, missed.what === 'key' ? missed.why : null],
  );
  return rows[0]?.since;
}

/** Batches that wait for the key that signs, or for stamps: of a run, or, without one, all. */
export async function batchesThatMiss(tx: TenantTransaction, closeRunId: string | null): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT id FROM work_batch
      WHERE tenant_id = $1 AND ($2::uuid IS NULL OR close_run_id = $2) AND state = 'waiting' AND (key_missed_at IS NOT NULL OR stamp_missed_at IS NOT NULL) ORDER BY created_at, id`,
    [tx.tenantId, closeRunId],
  );
  return rows.map((row) => row.id);
}

/**
 * Takes the waiting batches that are to be asked for again: nothing was heard of them for `lostAfterMs`, or for as long as they had waited when they
 * were last asked for, up to `longestPauseMs`; or their patience with an authority that gives no stamp (`patienceMs`) ended since.
 * One that a worker holds at this moment is not lost, and nothing waits for it.
 */
export async function wakeBatches(
  tx: TenantTransaction,
  { now, lostAfterMs, longestPauseMs, patienceMs }: { now: Date; lostAfterMs: number; longestPauseMs: number; patienceMs: number },
): Promise<{ id: string; task: BatchTask }[]> {
  const { rows } = await tx.sql<{ id: string; task: BatchTask }>(
    `WITH due AS (
       SELECT b.id FROM work_batch b
        WHERE b.tenant_id = $1 AND b.state = 'waiting'
          AND (coalesce(b.woken_at, b.created_at) + least(greatest(b.woken_at - b.created_at, $3 * interval '1 ms'), $4 * interval '1 ms') <= $2
            OR (coalesce(b.woken_at, b.created_at) < b.stamp_missed_at + $5 * interval '1 ms' AND b.stamp_missed_at + $5 * interval '1 ms' <= $2))
          FOR UPDATE SKIP LOCKED),
     woken AS (
       UPDATE work_batch b SET woken_at = $2 FROM due WHERE b.tenant_id = $1 AND b.id = due.id RETURNING b.id, b.task, b.created_at)
     SELECT id, task FROM woken ORDER BY created_at, id`,
    [tx.tenantId, now, lostAfterMs, longestPauseMs, patienceMs],
  );
  return rows;
}

/** Batches that have waited since before a time. */
export async function waitingBatches(tx: TenantTransaction, createdBefore: Date): Promise<{ id: string; task: BatchTask }[]> {
  const { rows } = await tx.sql<{ id: string; task: BatchTask }>(
    `SELECT id, task FROM work_batch WHERE tenant_id = $1 AND state = 'waiting' AND created_at < $2 ORDER BY created_at, id`,
    [tx.tenantId, createdBefore],
  );
  return rows;
}

/** Subjects of a run that a waiting batch of the task has already. */
export async function waitingSubjects(tx: TenantTransaction, run: { closeRunId: string; task: BatchTask }): Promise<Set<string>> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT s.id FROM work_batch b CROSS JOIN LATERAL unnest(b.subject_ids) AS s (id)
      WHERE b.tenant_id = $1 AND b.close_run_id = $2 AND b.task = $3 AND b.state = 'waiting'`,
    [tx.tenantId, run.closeRunId, run.task],
  );
  return new Set(rows.map((row) => row.id));
}
