import { batchTopics } from '#backoffice/close/enqueue-batches';
import { reviewBatch } from '#backoffice/close/review-batch';
import type { BatchWork } from '../job';

export const reviewJob: BatchWork = { topic: batchTopics.review, queue: 'closing', run: reviewBatch };
