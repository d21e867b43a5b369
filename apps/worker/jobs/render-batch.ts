import { batchTopics } from '#backoffice/close/enqueue-batches';
import { renderBatch } from '#backoffice/close/render-batch';
import type { BatchWork } from '../job';

export const renderJob: BatchWork = { topic: batchTopics.render, queue: 'statements', run: renderBatch };
