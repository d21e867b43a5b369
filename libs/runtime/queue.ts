import { Queue, Worker, assertSchemaCompatibility, createPostgresBackend, runMigrations, type JobsOptions, type Processor } from 'bullmq';
import IORedis from 'ioredis';
import { Client } from 'pg';
import { CONNECTION_BUDGET } from './connection-budget';

/**
 * All that travels through the queue: which row of the outbox to work on. The row is the job; what has been done and
 * what is left is in the tenant's tables, so a lost, repeated or late message does no harm. The queue's own tables know
 * nothing of tenants, so nothing of a tenant goes into them.
 */
export type WakeUp = { readonly outboxId: string; readonly tenantId: string; readonly topic: string };

export type QueueServer =
  | { readonly kind: 'redis'; readonly url: string }
  /** Role app. */
  | { readonly kind: 'postgres'; readonly url: string };

export type JobCounts = { readonly waiting: number; readonly active: number; readonly delayed: number; readonly failed: number };

export type WakeUpQueue = {
  /** Wakes a worker for each row; a row that is in the queue already, or was done lately, is passed over. */
  readonly publish: (wakeUps: readonly WakeUp[]) => Promise<void>;
  readonly counts: () => Promise<JobCounts>;
  readonly close: () => Promise<void>;
};

export type WakeUpWorker = {
  /** Takes no more work, waits for what runs, and leaves the rest to others. */
  readonly close: () => Promise<void>;
};

export type WorkerOptions = {
  readonly queueName: string;
  /** How many jobs run at once in this process. */
  readonly concurrency: number;
  /** Must stand being called twice for one row. A thrown error means "try again later"; `attempt` counts from 1. */
  readonly handle: (wakeUp: WakeUp, run: { readonly attempt: number }) => Promise<void>;
  readonly onFailed: (failure: { readonly wakeUp: WakeUp; readonly attempt: number; readonly isLast: boolean; readonly error: Error }) => void;
  /** Trouble with the queue itself, e.g. its server is away; the worker goes on trying. */
  readonly onTrouble: (error: Error) => void;
};

export type QueueConnection = {
  readonly createQueue: (options: { readonly name: string; readonly onTrouble: (error: Error) => void }) => WakeUpQueue;
  readonly createWorker: (options: WorkerOptions) => WakeUpWorker;
  /** Closes the workers and queues that are still open, too. */
  readonly close: () => Promise<void>;
};

const SCHEMA = 'bullmq';

/** Together five to nine hours, with the pauses doubling from a second, each up to half shorter by chance: long enough for a broken server to be mended. What waits longer is asked for anew. */
const ATTEMPTS = 16;

const JOB_OPTIONS: JobsOptions = {
  attempts: ATTEMPTS,
  backoff: { type: 'exponential', delay: 1000, jitter: 0.5 },
  // A second message for a row is harmless only while the record of the first is kept.
  removeOnComplete: { age: 7 * 24 * 3600, count: 100_000 },
  removeOnFail: { age: 30 * 24 * 3600 },
};

/** A worker that dies is noticed after at most the sum of the two, and its job is given to another. */
const LOCK_DURATION_MS = 30_000;
const STALLED_INTERVAL_MS = 15_000;
/** A job that was lost this often with its worker is the likely reason why the workers die. */
const MAX_LOST_WITH_WORKER = 5;

/** Creates the queue's tables, or brings them up to date. To be run before any worker starts, with the owner's URL. */
export async function migrateQueue(migration: { readonly ownerUrl: string }): Promise<void> {
  await withClient(migration.ownerUrl, (client) => runMigrations(client, SCHEMA));
}

async function withClient(url: string, work: (client: Client) => Promise<unknown>): Promise<void> {
  const client = new Client({ connectionString: url, application_name: 'latchledger queue' });
  await client.connect();
  try {
    await work(client);
  } finally {
    await client.end();
  }
}

export async function connectQueue(server: QueueServer): Promise<QueueConnection> {
  const connection = await (server.kind === 'redis' ? connectRedis(server.url) : connectPostgres(server));
  const opened: (WakeUpQueue | WakeUpWorker)[] = [];
  const remember = <Kind extends WakeUpQueue | WakeUpWorker>(one: Kind): Kind => {
    opened.unshift(one);
    return one;
  };
  return {
    createQueue: (options) => remember(connection.createQueue(options)),
    createWorker: (options) => remember(connection.createWorker(options)),
    close: async () => {
      for (const each of opened) await each.close();
      await connection.close();
    },
  };
}

async function connectRedis(url: string): Promise<QueueConnection> {
  // Workers block on their connection, so a request must not be given up after a number of tries.
  const connection = new IORedis(url, { maxRetriesPerRequest: null, lazyConnect: true });
  const firstError = new Promise<never>((_resolve, reject) => connection.on('error', reject));
  firstError.catch(() => undefined);
  await Promise.race([connection.connect(), firstError]).catch((error: Error) => {
    connection.disconnect();
    throw new Error(`The Redis server of REDIS_URL does not answer: ${error.message}`);
  });
  // Who publishes holds a transaction open meanwhile, and must be told soon that the server is away.
  const publisher = connection.duplicate({ maxRetriesPerRequest: 3, lazyConnect: false });
  publisher.on('error', () => undefined);
  return {
    createQueue: ({ name, onTrouble }) => {
      const queue = new Queue<WakeUp, void, string>(name, { connection: publisher, defaultJobOptions: JOB_OPTIONS });
      queue.on('error', onTrouble);
      return wakeUpQueue(queue);
    },
    createWorker: (options) => {
      const worker = new Worker<WakeUp, void, string>(options.queueName, processorFor(options), { connection, ...workerSettings(options) });
      worker.on('error', options.onTrouble).on('failed', failureReporter(options));
      return { close: () => worker.close() };
    },
    close: async () => {
      for (const each of [publisher, connection]) await each.quit().catch(() => each.disconnect());
    },
  };
}

async function connectPostgres({ url }: { url: string }): Promise<QueueConnection> {
  // Without its tables a worker would fail in a tight loop for ever; so they are looked for once, here.
  await withClient(url, (client) => assertSchemaCompatibility(client, SCHEMA));
  const connection = (max: number): { connectionString: string; schema: string; max: number; application_name: string } => ({
    connectionString: url,
    schema: SCHEMA,
    max,
    application_name: 'latchledger queue',
  });
  return {
    createQueue: ({ name, onTrouble }) => {
      const options = { connection: connection(CONNECTION_BUDGET.queuePublisher), defaultJobOptions: JOB_OPTIONS };
      const queue = new Queue(name, options, createPostgresBackend);
      queue.on('error', onTrouble);
      return wakeUpQueue(queue);
    },
    createWorker: (options) => {
      const worker = new Worker(
        options.queueName,
        processorFor(options),
        { connection: connection(CONNECTION_BUDGET.queueWorker - 1), ...workerSettings(options) },
        createPostgresBackend,
      );
      worker.on('error', options.onTrouble).on('failed', failureReporter(options));
      return { close: () => worker.close() };
    },
    close: async () => undefined,
  };
}

function workerSettings({ concurrency }: WorkerOptions): { concurrency: number; lockDuration: number; stalledInterval: number; maxStalledCount: number } {
  return { concurrency, lockDuration: LOCK_DURATION_MS, stalledInterval: STALLED_INTERVAL_MS, maxStalledCount: MAX_LOST_WITH_WORKER };
}

function processorFor({ handle }: WorkerOptions): Processor<WakeUp, void, string> {
  return (job) => handle(job.data, { attempt: job.attemptsMade + 1 });
}

type FailedJob = { data: WakeUp; attemptsMade: number; opts: { attempts?: number } };

function failureReporter({ onFailed }: WorkerOptions): (job: FailedJob | undefined, error: Error) => void {
  return (job, error) => {
    // Without a job: it was lost with its worker once too often, and its record is gone.
    if (!job) return;
    onFailed({ wakeUp: job.data, attempt: job.attemptsMade, isLast: job.attemptsMade >= (job.opts.attempts ?? 1), error });
  };
}

/** What is used of the library's queue, whichever server it is on. */
type LibraryQueue = {
  add: (name: string, data: WakeUp, options: { jobId: string }) => Promise<unknown>;
  getJobCounts: (...states: ('waiting' | 'active' | 'delayed' | 'failed')[]) => Promise<Record<string, number>>;
  close: () => Promise<void>;
};

function wakeUpQueue(queue: LibraryQueue): WakeUpQueue {
  return {
    publish: async (wakeUps) => {
      // One by one: on PostgreSQL the library's bulk call makes temporary tables, which the role app may not.
      await Promise.all(wakeUps.map((wakeUp) => queue.add(wakeUp.topic, wakeUp, { jobId: wakeUp.outboxId })));
    },
    counts: async () => {
      const { waiting = 0, active = 0, delayed = 0, failed = 0 } = await queue.getJobCounts('waiting', 'active', 'delayed', 'failed');
      return { waiting, active, delayed, failed };
    },
    close: () => queue.close(),
  };
}
