import { readOutboxRow } from '#database/outbox';
import { withTenant } from '#database/tenant';
import type { StatementDeps } from '#backoffice/statement/issue';
import type { WakeUp } from '#runtime/queue';
import { z } from 'zod';
import type { BatchWork } from './job';
import { numberJob } from './jobs/number-batch';
import { renderJob } from './jobs/render-batch';
import { reviewJob } from './jobs/review-batch';
import { settleJob } from './jobs/settle-batch';

/** Every topic that a worker works on. Other topics are news for whoever subscribes; nobody is woken for them. */
export const workByTopic: ReadonlyMap<string, BatchWork> = new Map([settleJob, reviewJob, numberJob, renderJob].map((work) => [work.topic, work]));

const payloadSchema = z.object({ batchId: z.uuid() });

/**
 * Does what a row of the outbox asks for. The message says only which row; a row that is gone was done and cleared away
 * long ago. Throws when it should be tried again later.
 */
export async function handleWakeUp(deps: StatementDeps, wakeUp: WakeUp): Promise<void> {
  const { tenantId, outboxId } = wakeUp;
  const row = await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:read' }, (tx) => readOutboxRow(tx, outboxId));
  if (row === undefined) return;
  const work = workByTopic.get(row.topic);
  if (work === undefined) throw new Error(`nobody works on ${row.topic}`);
  const { batchId } = payloadSchema.parse(row.payload);
  await work.run(deps, { tenantId, batchId, requestId: outboxId });
}
