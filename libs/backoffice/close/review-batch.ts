import { withTenant } from '#database/tenant';
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
    const failures = refused.map(({ settlementId, why }) => ({ subjectId: settlementId, code: why.code, message: why.detail }));
    await finishBatch(tx, { id: batch.id, doneCount: reviewedIds.length, failures, finishedAt: deps.clock.now() });
    deps.onStep?.('finished');
  });
}
