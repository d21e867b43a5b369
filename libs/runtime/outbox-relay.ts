import type { WakeUp } from './queue';

/** Rows moved in one transaction; so many that a month's close of thousands of sites takes few round trips. */
const BATCH_SIZE = 500;

/** Notifications get lost with their connection; this bounds how long a row may wait then. */
const POLL_MS = 5000;
const RETRY_MS = 1000;

/** What the relay needs of the database: `createRelay` of libs/database. */
export type OutboxSource = {
  /** Hands waiting rows to `publish`, marks them when it has returned, and gives their number. */
  readonly relayBatch: (
    limit: number,
    publish: (work: readonly { readonly id: string; readonly tenantId: string; readonly topic: string }[]) => Promise<void>,
  ) => Promise<number>;
  /** Calls back when rows were written, and after every (re)connect. */
  readonly listen: (onWork: () => void) => Promise<void>;
  readonly close: () => Promise<void>;
};

export type OutboxRelay = {
  /** Stops after the batch that is under way, and closes the source. */
  readonly close: () => Promise<void>;
};

/**
 * Hands every new row of the outbox to the queue: the row was written in the same transaction as what caused it, so
 * work is neither lost when the queue is away nor begun when that transaction was rolled back. A row is marked after
 * it was published; a crash in between publishes it again, which the queue passes over by its id. Several workers may
 * relay at once.
 */
export function startOutboxRelay(options: {
  readonly source: OutboxSource;
  readonly publish: (wakeUps: readonly WakeUp[]) => Promise<void>;
  /** What was handed over, for metrics. */
  readonly onRelayed?: (wakeUps: readonly WakeUp[]) => void;
  /** Database or queue are away; the relay goes on trying. */
  readonly onTrouble: (error: Error) => void;
  /** For tests of notifications, which take the looking away. */
  readonly pollMs?: number;
}): OutboxRelay {
  const { pollMs = POLL_MS } = options;
  const doorbell = createDoorbell();
  let isClosing = false;

  const publish: Parameters<OutboxSource['relayBatch']>[1] = async (rows) => {
    const wakeUps = rows.map(({ id, tenantId, topic }) => ({ outboxId: id, tenantId, topic }));
    await options.publish(wakeUps);
    options.onRelayed?.(wakeUps);
  };
  const run = async (): Promise<void> => {
    let isListening = false;
    while (!isClosing) {
      try {
        // Listen before looking: what is written in between rings the bell.
        if (!isListening) await options.source.listen(doorbell.ring);
        isListening = true;
        while (!isClosing && (await options.source.relayBatch(BATCH_SIZE, publish)) === BATCH_SIZE);
        if (!isClosing) await doorbell.wait(pollMs);
      } catch (error) {
        options.onTrouble(error as Error);
        if (!isClosing) await doorbell.wait(RETRY_MS);
      }
    }
  };

  const running = run();
  return {
    close: async () => {
      isClosing = true;
      doorbell.ring();
      await running;
      await options.source.close();
    },
  };
}

/** Wakes who waits, or lets the next one pass at once when it rings before. */
function createDoorbell(): { ring: () => void; wait: (milliseconds: number) => Promise<void> } {
  let hasRung = false;
  let wake: (() => void) | undefined;
  return {
    ring: () => {
      hasRung = true;
      wake?.();
    },
    wait: async (milliseconds) => {
      if (!hasRung) {
        await new Promise<void>((resolve) => {
          const timer = setTimeout(resolve, milliseconds);
          wake = () => {
            clearTimeout(timer);
            resolve();
          };
        });
      }
      hasRung = false;
      wake = undefined;
    },
  };
}
