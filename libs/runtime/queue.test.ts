import { randomBytes } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';
import { Client } from 'pg';
import { migrateDatabase, prepareDatabase } from '#database/migrate';
import type { RoleUrls } from '#database/roles';
import { describeWithProgram } from '#tests/support/outside-program';
import { startRedisServer } from '#tests/support/redis-server';
import { until } from '#tests/support/until';
import { startTemporaryPostgres, type EmbeddedPostgres } from './embedded-postgres';
import { newId } from './ids';
import { connectQueue, migrateQueue, type QueueConnection, type QueueServer, type WakeUp } from './queue';

let postgres: EmbeddedPostgres;
let urls: RoleUrls;
beforeAll(async () => {
  postgres = await startTemporaryPostgres();
  const password = (): string => randomBytes(18).toString('base64url');
  urls = await prepareDatabase({
    superuserUrl: postgres.superuserUrl,
    database: 'latchledger',
    passwords: { owner: password(), app: password(), relay: password(), reader: password(), backup: password() },
  });
  await migrateDatabase({ ownerUrl: urls.owner });
  await migrateQueue({ ownerUrl: urls.owner });
  await migrateQueue({ ownerUrl: urls.owner });
});
afterAll(async () => postgres.stop());

const fail = (error: Error): never => {
  throw error;
};

const wakeUp = (topic = 'settlement.close'): WakeUp => ({ outboxId: newId(), tenantId: newId(), topic });

/** The same promises on either server. */
function keepsItsPromises(start: () => Promise<{ server: QueueServer; stop: () => Promise<void> }>): void {
  let connection: QueueConnection;
  let stop: () => Promise<void>;
  beforeAll(async () => {
    const started = await start();
    stop = started.stop;
    connection = await connectQueue(started.server);
  });
  afterAll(async () => {
    await connection.close();
    await stop();
  });

  it('wakes a worker for every row, before it would look by itself', async () => {
    const queue = connection.createQueue({ name: 'prompt', onTrouble: fail });
    const seen: { wakeUp: WakeUp; attempt: number }[] = [];
    const worker = connection.createWorker({
      queueName: 'prompt',
      concurrency: 4,
      handle: async (received, { attempt }) => void seen.push({ wakeUp: received, attempt }),
      onFailed: ({ error }) => fail(error),
      onTrouble: fail,
    });
    await pause(300);
    const rows = Array.from({ length: 30 }, () => wakeUp());
    const before = Date.now();
    await queue.publish(rows);
    await until(() => seen.length === 30);
    // By itself a waiting worker looks every five seconds (BullMQ, WorkerOptions.drainDelay).
    expect(Date.now() - before).toBeLessThan(4000);
    const byId = (one: WakeUp, other: WakeUp): number => (one.outboxId < other.outboxId ? -1 : 1);
    expect(seen.map((each) => each.wakeUp).sort(byId)).toEqual([...rows].sort(byId));
    expect(new Set(seen.map(({ attempt }) => attempt))).toEqual(new Set([1]));
    await worker.close();
    await queue.close();
  });

  it('passes over a row that waits already and one that was done lately', async () => {
    const queue = connection.createQueue({ name: 'repeated', onTrouble: fail });
    const [first, second] = [wakeUp(), wakeUp()];
    await queue.publish([first, second]);
    await queue.publish([second, first]);
    await queue.publish([]);
    expect(await queue.counts()).toEqual({ waiting: 2, active: 0, delayed: 0, failed: 0 });
    const seen: string[] = [];
    const worker = connection.createWorker({
      queueName: 'repeated',
      concurrency: 1,
      handle: async ({ outboxId }) => void seen.push(outboxId),
      onFailed: ({ error }) => fail(error),
      onTrouble: fail,
    });
    await until(async () => seen.length === 2 && (await queue.counts()).active === 0);
    await queue.publish([first]);
    await pause(300);
    expect(seen.sort()).toEqual([first.outboxId, second.outboxId].sort());
    await worker.close();
    await queue.close();
  });

  it('tries again after a failure, and reports it', async () => {
    const queue = connection.createQueue({ name: 'failing', onTrouble: fail });
    const failures: { attempt: number; isLast: boolean; message: string }[] = [];
    const attempts: number[] = [];
    const worker = connection.createWorker({
      queueName: 'failing',
      concurrency: 1,
      handle: async (_wakeUp, { attempt }) => {
        attempts.push(attempt);
        if (attempt === 1) throw new Error('the database is restarting');
      },
      onFailed: ({ attempt, isLast, error }) => void failures.push({ attempt, isLast, message: error.message }),
      onTrouble: fail,
    });
    await queue.publish([wakeUp()]);
    await until(() => attempts.length === 2);
    expect(attempts).toEqual([1, 2]);
    expect(failures).toEqual([{ attempt: 1, isLast: false, message: 'the database is restarting' }]);
    await worker.close();
    await queue.close();
  });

  it('finishes what runs when it is closed, and leaves the rest to the next worker', async () => {
    const queue = connection.createQueue({ name: 'closing', onTrouble: fail });
    await queue.publish([wakeUp(), wakeUp()]);
    const finished: string[] = [];
    let begun = 0;
    const worker = connection.createWorker({
      queueName: 'closing',
      concurrency: 1,
      handle: async ({ outboxId }) => {
        begun += 1;
        await pause(300);
        finished.push(outboxId);
      },
      onFailed: ({ error }) => fail(error),
      onTrouble: fail,
    });
    await until(() => begun === 1);
    await worker.close();
    expect(finished).toHaveLength(1);
    expect(await queue.counts()).toEqual({ waiting: 1, active: 0, delayed: 0, failed: 0 });
    await queue.close();
  });
}

describe('the queue on PostgreSQL', () => {
  keepsItsPromises(async () => ({ server: { kind: 'postgres', url: urls.app }, stop: async () => undefined }));
});

describeWithProgram('redis-server', 'redis-server', () => {
  keepsItsPromises(async () => {
    const { url, stop } = await startRedisServer();
    return { server: { kind: 'redis', url }, stop };
  });
});

it('says what is missing instead of trying for ever', async () => {
  const client = new Client({ connectionString: postgres.superuserUrl });
  await client.connect();
  await client.query('CREATE DATABASE without_queue');
  await client.end();
  const url = new URL(postgres.superuserUrl);
  url.pathname = '/without_queue';
  await expect(connectQueue({ kind: 'postgres', url: url.toString() })).rejects.toThrow(/not initialized/);
  await expect(connectQueue({ kind: 'redis', url: 'redis://127.0.0.1:1' })).rejects.toThrow('REDIS_URL');
});
