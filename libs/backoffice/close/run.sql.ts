import type { CloseFailure, KeyMissedWhy } from '#contracts/close';
import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';

export type RunRow = {
  readonly id: string;
  readonly cycle: string;
  readonly starts_on: string;
  readonly ends_before: string;
  readonly requested_by: string;
  readonly requested_at: Date;
  readonly agreements: bigint;
  readonly running: boolean;
  readonly settled: bigint;
  readonly reviewed: bigint;
  readonly numbered: bigint;
  readonly issued: bigint;
  readonly failed: bigint;
  readonly key_missed_at: Date | null;
  readonly key_missed: string | null;
  readonly stamp_missed_at: Date | null;
  readonly stamp_missed: string | null;
  readonly key_missed_why: KeyMissedWhy | null;
};

export async function insertRun(
  tx: TenantTransaction,
  run: { id: string; cycle: string; startsOn: string; endsBefore: string; agreementCount: number; requestedAt: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO close_run (tenant_id, id, cycle, starts_on, ends_before, agreement_count, requested_by, requested_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, run.id, run.cycle, run.startsOn, run.endsBefore, run.agreementCount, tx.actor, run.requestedAt],
  );
}

export async function findRun(tx: TenantTransaction, period: { cycle: string; startsOn: string }): Promise<string | undefined> {
  const { rows } = await tx.sql<{ id: string }>('SELECT id FROM close_run WHERE tenant_id = $1 AND cycle = $2 AND starts_on = $3', [
    tx.tenantId,
    period.cycle,
    period.startsOn,
  ]);
  return rows[0]?.id;
}

/**
 * Failures of a run as last tried: a subject that a later batch of the same task took on again stands there or nowhere, and
 * one that has got past the step by now is no failure any more. Arguments are SQL.
 */
function openFailures(tenantId: string, closeRunId: string): string {
  return `
    SELECT b.task AS step, f."subjectId" AS subject_id, f.code, f.message, coalesce(f.machines, '[]') AS machines, coalesce(f."collectionIds", '{}') AS collection_ids
      FROM work_batch b CROSS JOIN LATERAL jsonb_to_recordset(b.failures) AS f ("subjectId" uuid, code text, message text, machines jsonb, "collectionIds" uuid[])
     WHERE b.tenant_id = ${tenantId} AND b.close_run_id = ${closeRunId} AND b.state = 'done'
       AND NOT EXISTS (SELECT FROM work_batch later WHERE later.tenant_id = b.tenant_id AND later.close_run_id = b.close_run_id
                          AND later.task = b.task AND later.state = 'done' AND (later.created_at, later.id) > (b.created_at, b.id)
                          AND f."subjectId" = ANY (later.subject_ids))
       AND CASE b.task
             WHEN 'settle' THEN NOT EXISTS (SELECT FROM settlement x WHERE x.tenant_id = b.tenant_id AND x.period_id = f."subjectId" AND NOT ${isReversed('x')})
             ELSE EXISTS (SELECT FROM settlement x WHERE x.tenant_id = b.tenant_id AND x.id = f."subjectId"
                             AND x.state = CASE b.task WHEN 'review' THEN 'draft' WHEN 'number' THEN 'reviewed' ELSE 'numbered' END)
           END`;
}

export type RunQuery = {
  readonly id?: string | undefined;
  readonly cycle?: string | undefined;
  readonly after?: { readonly startsOn: string; readonly id: string } | undefined;
  readonly limit: number;
};

/** Runs with their progress, newest period first. */
export async function readRuns(tx: TenantTransaction, query: RunQuery): Promise<RunRow[]> {
  const { rows } = await tx.sql<RunRow>(
    `SELECT r.id, r.cycle, r.starts_on, r.ends_before, r.requested_by, r.requested_at,
            work.agreements, work.running, counts.settled, counts.reviewed, counts.numbered, counts.issued, work.failed, no_key.key_missed_at, no_key.key_missed, no_key.key_missed_why, no_stamp.stamp_missed_at, no_stamp.stamp_missed
       FROM close_run r
       CROSS JOIN LATERAL (
         SELECT count(*) AS settled, count(*) FILTER (WHERE s.state <> 'draft') AS reviewed,
                count(*) FILTER (WHERE s.state IN ('numbered', 'issued')) AS numbered, count(*) FILTER (WHERE s.state = 'issued') AS issued
           FROM settlement s WHERE s.tenant_id = r.tenant_id AND s.close_run_id = r.id AND NOT ${isReversed('s')}) counts
       CROSS JOIN LATERAL (
         SELECT (SELECT count(DISTINCT subject.id) FROM work_batch b CROSS JOIN LATERAL unnest(b.subject_ids) AS subject (id)
                  WHERE b.tenant_id = r.tenant_id AND b.close_run_id = r.id AND b.task = 'settle') AS agreements,
                EXISTS (SELECT FROM work_batch b WHERE b.tenant_id = r.tenant_id AND b.close_run_id = r.id AND b.state = 'waiting') AS running,
                (SELECT count(*) FROM (${openFailures('r.tenant_id', 'r.id')}) AS failure) AS failed) work
       LEFT JOIN LATERAL (
         SELECT b.key_missed_at, b.key_missed, b.key_missed_why FROM work_batch b
          WHERE b.tenant_id = r.tenant_id AND b.close_run_id = r.id AND b.state = 'waiting' AND b.key_missed_at IS NOT NULL
          ORDER BY b.key_missed_at, b.id LIMIT 1) no_key ON true
       LEFT JOIN LATERAL (
         SELECT b.stamp_missed_at, b.stamp_missed FROM work_batch b
          WHERE b.tenant_id = r.tenant_id AND b.close_run_id = r.id AND b.state = 'waiting' AND b.stamp_missed_at IS NOT NULL
          ORDER BY b.stamp_missed_at, b.id LIMIT 1) no_stamp ON true
      WHERE r.tenant_id = $1 AND ($2::uuid IS NULL OR r.id = $2) AND ($3::text IS NULL OR r.cycle = $3)
        AND ($4::date IS NULL OR (r.starts_on, r.id) < ($4, $5::uuid))
      ORDER BY r.starts_on DESC, r.id DESC
      LIMIT $6`,
    [tx.tenantId, query.id ?? null, query.cycle ?? null, query.after?.startsOn ?? null, query.after?.id ?? null, query.limit],
  );
  return rows;
}

export type FailureRow = {
  readonly step: 'settle' | 'review' | 'number' | 'render';
  readonly agreement_id: string;
  readonly settlement_id: string | null;
  readonly site_id: string;
  readonly site_code: string;
  readonly code: string;
  readonly message: string;
  readonly machines: CloseFailure['machines'];
  /** Those with boxes for which it waits. */
  readonly collection_ids: readonly string[];
};

export async function readFailures(tx: TenantTransaction, run: { closeRunId: string; limit: number }): Promise<FailureRow[]> {
  const { rows } = await tx.sql<FailureRow>(
    `SELECT failure.step, coalesce(s.agreement_id, p.agreement_id) AS agreement_id, s.id AS settlement_id, site.id AS site_id, site.code AS site_code, failure.code, failure.message, failure.machines, failure.collection_ids
       FROM (${openFailures('$1', '$2')}) AS failure
       LEFT JOIN settlement s ON s.tenant_id = $1 AND s.id = failure.subject_id
       LEFT JOIN period p ON p.tenant_id = $1 AND p.id = failure.subject_id
       JOIN site ON site.tenant_id = $1 AND site.id = coalesce(s.site_id, p.site_id)
      ORDER BY site.code, failure.step LIMIT $3`,
    [tx.tenantId, run.closeRunId, run.limit],
  );
  return rows;
}
