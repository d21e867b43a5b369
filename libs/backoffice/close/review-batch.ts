import type { CloseFailure } from '#contracts/close';
import { withTenant } from '#database/tenant';
import type { NotFresh } from '../settlement/fresh';
import { reviewFresh } from '../settlement/review';
import { finishBatch, takeBatch } from './batch.sql';
import { workerScope, type BatchJob, type WorkDeps } from './work';

/** Reviews the drafts of one batch for whoever asked for it; stale ones stay drafts and are named among the failures. */
export async function reviewBatch(deps: WorkDeps, job: BatchJob): Promise<void> {
  await withTenant(deps.database, workerScope(job, 'review'), async (tx) => {
    const batch = await takeBatch(tx, job.batchId);
    if (batch === undefined) return;
    deps.onStep?.('taken');
    const { reviewedIds, refused } = await reviewFresh(tx, {
      settlementIds: batch.subject_ids,
      now: deps.clock.now(),
      by: batch.requested_by,
      newId: deps.newId,
    });
    const failures = refused.map(({ settlementId, why }) => ({ subjectId: settlementId, code: why.code, message: why.detail, machines: machinesOf(why) }));
    await finishBatch(tx, { id: batch.id, doneCount: reviewedIds.length, failures, finishedAt: deps.clock.now() });
    deps.onStep?.('finished');
  });
}

/** Machines that a refused review names by their ids, each once. */
function machinesOf({ errors = [] }: NotFresh): CloseFailure['machines'] {
  const tags = new Map(errors.flatMap(({ values: { machineId, machine } = {} }) => (machineId === undefined || machine === undefined ? [] : [[machineId, machine] as const])));
  return [...tags].map(([id, tag]) => ({ id, tag }));
}
