import type { StatementDeps } from '#backoffice/statement/issue';
import type { Logger } from '#runtime/logging';
import type { Metrics } from '#runtime/metrics';
import type { QueueConnection, WakeUp, WakeUpQueue } from '#runtime/queue';
import { handleWakeUp, workByTopic } from './handle';
import { queueNames, type QueueName } from './job';

/** Two closings of different operators side by side; pages are all arithmetic, and one at a time fills a core. */
const CONCURRENCY: { readonly [name in QueueName]: number } = { closing: 2, statements: 1 };

export type Queues = {
  readonly publish: (wakeUps: readonly WakeUp[]) => Promise<void>;
  /** Counts what each queue holds, for the metrics. */
  readonly count: () => Promise<void>;
};

/** Opens every queue with its worker. They close with the connection. */
export function startQueues(parts: { connection: QueueConnection; deps: StatementDeps; metrics: Metrics; logger: Logger }): Queues {
  const { connection, logger, metrics } = parts;
  const queues = new Map<QueueName, WakeUpQueue>();
  for (const name of queueNames) {
    const onTrouble = (err: Error): void => logger.warn({ err, queue: name }, 'queue trouble');
    queues.set(name, connection.createQueue({ name, onTrouble }));
    connection.createWorker({
      queueName: name,
      concurrency: CONCURRENCY[name],
      handle: (wakeUp, { attempt }) => timed(parts, wakeUp, attempt),
      onFailed: ({ wakeUp, attempt, isLast, error: err }) => logger.error({ err, ...wakeUp, attempt, isLast }, 'job failed'),
      onTrouble,
    });
  }
  const all = [...queues];
  const count = async (): Promise<void> => {
    for (const [queue, each] of all) {
      const counts = await each.counts();
      for (const [state, value] of Object.entries(counts)) metrics.jobsWaiting.set({ queue, state }, value);
    }
  };
  return {
    publish: async (wakeUps) => {
      for (const [name, queue] of all) {
        const own = wakeUps.filter(({ topic }) => workByTopic.get(topic)?.queue === name);
        if (own.length > 0) await queue.publish(own);
      }
    },
    count,
  };
}

async function timed({ deps, metrics, logger }: { deps: StatementDeps; metrics: Metrics; logger: Logger }, wakeUp: WakeUp, attempt: number): Promise<void> {
  const { topic } = wakeUp;
  const observe = metrics.jobSeconds.startTimer({ topic });
  try {
    await handleWakeUp(deps, wakeUp);
    const seconds = observe({ outcome: 'done' });
    logger.info({ ...wakeUp, attempt, seconds }, 'job done');
  } catch (error) {
    observe({ outcome: 'failed' });
    throw error;
  }
}
