/** Work that waits: when it is asked for again, each batch by itself. */
import { enqueue } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import { insertBatches } from '#backoffice/close/batch.sql';
import { startClose } from '#backoffice/close/start';
import { localDate } from '#domain/calendar/local-date';
import { startTestApi, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { asTenant } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { until } from '#tests/support/until';
import { workDeps } from '#tests/support/work';
import { startHousekeeping, wakeLostBatches } from '#worker/housekeeping';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const START = new Date('2025-11-05T12:00:00Z');

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({ now: START.toISOString() });
});
afterAll(() => api?.close());

const owner = (tenantId: string) => ({ kind: 'user', id: '01890000-0000-7000-8000-000000000901', tenantId, role: 'owner', siteIds: [], personId: null }) as const;

/** An operator with one batch that waits. */
async function waitingMonth(): Promise<string> {
  const { tenantId } = await writeMonth(api.db, { sites: 1, machinesPerSite: 1, collectionsPerSite: 1 });
  const started = await startClose(api.backoffice, owner(tenantId), { cycle: 'month', startsOn: localDate('2025-10-01') });
  if (!started.ok) throw new Error(started.failure.code);
  return tenantId;
}

const inBooks = <Value>(tenantId: string, work: (tx: TenantTransaction) => Promise<Value>): Promise<Value> => asTenant(api.db, tenantId, work);
/** How often work was asked for, the first time included. */
const messagesOf = (tenantId: string): Promise<number> => inBooks(tenantId, async (tx) => (await tx.sql(`SELECT 1 FROM outbox WHERE topic = 'close.settle-batch'`)).rows.length);
const wakeAt = (ms: number): Promise<number> => wakeLostBatches(workDeps({ ...api.backoffice, clock: { now: () => new Date(START.getTime() + ms) } }));

it('asks for a batch again after five minutes, then in pauses that double, up to eight hours', async () => {
  const tenantId = await waitingMonth();
  const woken: number[] = [];
  for (const minute of [4, 5, 6, 9, 10, 19, 20, 39, 40, 80, 160, 320, 639, 640, 1119, 1120, 1599, 1600]) {
    const before = await messagesOf(tenantId);
    // Twice, as two workers would: the second finds nothing to do.
    await wakeAt(minute * MINUTE_MS);
    await wakeAt(minute * MINUTE_MS);
    const messages = (await messagesOf(tenantId)) - before;
    if (messages > 0) woken.push(minute);
    expect(messages).toBeLessThanOrEqual(1);
  }
  expect(woken).toEqual([5, 10, 20, 40, 80, 160, 320, 640, 1120, 1600]);
});

it('asks for a batch of one operator while that of another waits for a stamp', async () => {
  const [waiting, other] = [await waitingMonth(), await waitingMonth()];
  await inBooks(waiting, async (tx) => void (await tx.sql(`UPDATE work_batch SET stamp_missed_at = $1, stamp_missed = 'no answer', woken_at = $2`, [START, new Date(START.getTime() + 4 * MINUTE_MS)])));
  await wakeAt(5 * MINUTE_MS);
  expect([await messagesOf(waiting), await messagesOf(other)]).toEqual([1, 2]);
});

it('neither asks for a batch that a worker holds at this moment nor waits for it: the others are asked for, by their task', async () => {
  const tenantId = await waitingMonth();
  const held = await inBooks(tenantId, async (tx) => {
    const { rows } = await tx.sql<{ id: string; close_run_id: string }>('SELECT id, close_run_id FROM work_batch WHERE tenant_id = $1', [tenantId]);
    const [batch] = rows;
    if (batch === undefined) throw new Error('nothing waits');
    for (const task of ['review', 'render'] as const) {
      const batches = [1, 2].map(() => ({ id: api.backoffice.newId(), subjectIds: [api.backoffice.newId()] }));
      await insertBatches(tx, { closeRunId: batch.close_run_id, task, batches, requestedBy: 'system:test', createdAt: START });
    }
    return batch.id;
  });
  await onConnection(api.db.urls.superuser, async (worker) => {
    await worker.query('BEGIN');
    expect((await worker.query('SELECT 1 FROM work_batch WHERE id = $1 FOR UPDATE', [held])).rows).toHaveLength(1);
    await wakeAt(5 * MINUTE_MS);
    await worker.query('ROLLBACK');
  });
  const { rows } = await inBooks(tenantId, (tx) => tx.sql<{ topic: string; asked: number }>('SELECT topic, count(DISTINCT payload)::int AS asked FROM outbox WHERE tenant_id = $1 GROUP BY topic ORDER BY topic', [tenantId]));
  expect(rows).toEqual([
    { topic: 'close.render-batch', asked: 2 },
    { topic: 'close.review-batch', asked: 2 },
    { topic: 'close.settle-batch', asked: 1 },
  ]);
  // Let go without being done, it is asked for as any other.
  await wakeAt(6 * MINUTE_MS);
  expect(await messagesOf(tenantId)).toBe(2);
});

it('asks once more as the patience with a time-stamp authority ends, however lately it did before', async () => {
  const tenantId = await waitingMonth();
  await inBooks(tenantId, async (tx) => void (await tx.sql(`UPDATE work_batch SET stamp_missed_at = $1, stamp_missed = 'no answer', woken_at = $2`, [START, new Date(START.getTime() + 23 * HOUR_MS)])));
  await wakeAt(24 * HOUR_MS - 1);
  expect(await messagesOf(tenantId)).toBe(1);
  await wakeAt(24 * HOUR_MS);
  expect(await messagesOf(tenantId)).toBe(2);
  await wakeAt(24 * HOUR_MS + MINUTE_MS);
  expect(await messagesOf(tenantId)).toBe(2);
});

describe('what a worker looks after by itself', () => {
  // Only its own timers stand still: the database is waited for as ever.
  beforeEach(() => jest.useFakeTimers({ doNotFake: ['Date', 'hrtime', 'nextTick', 'performance', 'queueMicrotask', 'setImmediate', 'clearImmediate', 'setTimeout', 'clearTimeout'] }));
  afterEach(() => jest.useRealTimers());

  it('is done as it starts and each minute or hour from then on, whatever trouble one of it has, and is ended before it is closed', async () => {
    const tenantId = await waitingMonth();
    const old = await inBooks(tenantId, (tx) => enqueue(tx, 'test.work', {}));
    await onConnection(api.db.urls.superuser, (client) => client.query(`UPDATE outbox SET relayed_at = $2 WHERE id = $1`, [old, new Date(START.getTime() - 15 * 24 * HOUR_MS)]));
    const isThere = (id: string): Promise<boolean> => inBooks(tenantId, async (tx) => (await tx.sql('SELECT 1 FROM outbox WHERE id = $1', [id])).rowCount === 1);

    let now = START.getTime() + 5 * MINUTE_MS;
    const looks: { end: () => void }[] = [];
    const troubles: unknown[] = [];
    const housekeeping = startHousekeeping({
      deps: workDeps({ ...api.backoffice, clock: { now: () => new Date(now) } }),
      sendMail: async () => undefined,
      // The first one fails, and each later one takes until it is told to end.
      webhooks: { look: () => new Promise<void>((resolve, reject) => (looks.push({ end: resolve }), looks.length === 1 && reject(new Error('out of reach')))) },
      publicUrl: 'http://127.0.0.1',
      onTrouble: (error) => troubles.push(error),
    });
    await until(async () => (await messagesOf(tenantId)) === 2);
    await until(() => troubles.length === 1);
    expect(troubles).toEqual([new Error('out of reach')]);
    expect([looks.length, await isThere(old)]).toEqual([1, true]);

    // A turn may come while the one before is still at other operators: it is passed over, and the next one does it.
    now += 5 * MINUTE_MS;
    await until(async () => {
      jest.advanceTimersByTime(MINUTE_MS);
      return (await messagesOf(tenantId)) === 3;
    });
    expect(looks).toHaveLength(2);
    await until(async () => {
      jest.advanceTimersByTime(HOUR_MS);
      return !(await isThere(old));
    });

    let isClosed = false;
    const closing = housekeeping.close().then(() => (isClosed = true));
    // One that is still at work is waited for: an answer of the database comes later than anything that does not wait.
    expect([await messagesOf(tenantId), isClosed]).toEqual([3, false]);
    looks[1]?.end();
    await closing;
    now += HOUR_MS;
    jest.advanceTimersByTime(2 * HOUR_MS);
    expect([looks.length, await messagesOf(tenantId), troubles.length]).toEqual([2, 3, 1]);
  });
});
