import { enqueueAll } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import { insertBatches, type BatchTask } from './batch.sql';

/** Topics of the outbox; the payload names the batch, and the batch's row says what is to be done and whether it is. */
export const batchTopics = {
  settle: 'close.settle-batch',
  review: 'close.review-batch',
  number: 'close.number-batch',
  render: 'close.render-batch',
} as const satisfies { readonly [task in BatchTask]: string };

/**
 * Fewest subjects of a batch, where there are as many: a batch costs some twenty queries whatever its size. Pages are
 * rendered in smaller ones, so that several workers share a month's statements.
 */
const fewest: { readonly [task in BatchTask]: number } = { settle: 200, review: 200, number: 200, render: 50 };

/** Writes the work and asks for it, in the transaction that decides it. */
export async function enqueueBatches(
  tx: TenantTransaction,
  work: { closeRunId: string; task: BatchTask; subjectIds: readonly string[]; requestedBy: string; now: Date; newId: () => string },
): Promise<void> {
  if (work.subjectIds.length === 0) return;
  const batches = evenly(work.subjectIds, fewest[work.task]).map((subjectIds) => ({ id: work.newId(), subjectIds }));
  await insertBatches(tx, { closeRunId: work.closeRunId, task: work.task, batches, requestedBy: work.requestedBy, createdAt: work.now });
  await enqueueAll(tx, batchTopics[work.task], batches.map((batch) => ({ batchId: batch.id })));
}

/** Cuts a list into parts of nearly equal length, each at least `least` long unless the list is shorter. */
export function evenly<Item>(items: readonly Item[], least: number): Item[][] {
  const parts = Math.max(1, Math.floor(items.length / least));
  return Array.from({ length: parts }, (_, index) =>
    items.slice(Math.floor((index * items.length) / parts), Math.floor(((index + 1) * items.length) / parts)),
  );
}
