import { batchTopics } from '#backoffice/close/enqueue-batches';
import { settleBatch } from '#backoffice/close/settle-batch';
import type { BatchWork } from '../job';

export const settleJob: BatchWork = { topic: batchTopics.settle, queue: 'closing', run: settleBatch };
