import { batchTopics } from '#backoffice/close/enqueue-batches';
import { numberBatch } from '#backoffice/close/number-batch';
import type { BatchWork } from '../job';

export const numberJob: BatchWork = { topic: batchTopics.number, queue: 'closing', run: numberBatch };
