import type { BatchJob } from '#backoffice/close/work';
import type { StatementDeps } from '#backoffice/statement/issue';

/** Settling must not wait behind pages: whoever closes a month looks at the figures first. */
export const queueNames = ['closing', 'statements'] as const;
export type QueueName = (typeof queueNames)[number];

/** Work of one topic of the outbox. It must bear being called twice for one batch. */
export type BatchWork = {
  readonly topic: string;
  readonly queue: QueueName;
  readonly run: (deps: StatementDeps, job: BatchJob) => Promise<void>;
};
