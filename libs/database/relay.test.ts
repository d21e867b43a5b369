import { setTimeout as pause } from 'node:timers/promises';
import { onConnection } from '#tests/support/connection';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { until } from '#tests/support/until';
import { enqueue, enqueueAll } from './outbox';
import { createRelay, type Relay, type WaitingWork } from './relay';
import { sqlStates } from './server-error';

let db: TestDatabase;
let tenant: string;
let other: string;
let relay: Relay;
beforeEach(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
  other = await createTenant(db);
  relay = createRelay({ relayUrl: db.urls.relay });
});
afterEach(async () => {
  await relay.close();
  await db.drop();
});

async function collect(limit = 100): Promise<WaitingWork[]> {
  const seen: WaitingWork[] = [];
  await relay.relayBatch(limit, async (work) => void seen.push(...work));
  return seen;
}

describe('the relay', () => {
  it('hands out the work of every tenant once, oldest first, without its payload', async () => {
    const first = await asTenant(db, tenant, (tx) => enqueue(tx, 'one', { secret: 'x' }));
    const second = await asTenant(db, other, (tx) => enqueue(tx, 'two', {}));
    expect(await collect()).toEqual([
      { id: first, tenantId: tenant, topic: 'one', createdAt: expect.any(Date) },
      { id: second, tenantId: other, topic: 'two', createdAt: expect.any(Date) },
    ]);
    expect(await collect()).toEqual([]);
  });

  it('hands work out again when publishing failed', async () => {
    await asTenant(db, tenant, (tx) => enqueue(tx, 'one', {}));
    await expect(relay.relayBatch(10, () => Promise.reject(new Error('queue is down')))).rejects.toThrow('queue is down');
    expect(await collect()).toHaveLength(1);
  });

  it('shares the work with another relay: no row goes to both, and neither waits', async () => {
    await asTenant(db, tenant, (tx) => enqueueAll(tx, 'many', Array.from({ length: 10 }, () => ({}))));
    const second = createRelay({ relayUrl: db.urls.relay });
    const seen: string[] = [];
    await relay.relayBatch(6, async (work) => {
      seen.push(...work.map((row) => row.id));
      await second.relayBatch(6, async (more) => void seen.push(...more.map((row) => row.id)));
    });
    expect(seen).toHaveLength(10);
    expect(new Set(seen).size).toBe(10);
    await second.close();
  });

  it('is woken by a commit, and only by a commit', async () => {
    let wakes = 0;
    await relay.listen(() => (wakes += 1));
    expect(wakes).toBe(1);
    const undone = asTenant(db, tenant, async (tx) => {
      await enqueue(tx, 'one', {});
      throw new Error('undone');
    });
    await expect(undone).rejects.toThrow('undone');
    await pause(50);
    expect(wakes).toBe(1);
    await asTenant(db, tenant, (tx) => enqueueAll(tx, 'many', [{}, {}, {}]));
    await until(() => wakes === 2);
  });

  it('listens again after its connection broke, and looks for what it missed', async () => {
    let wakes = 0;
    await relay.listen(() => (wakes += 1));
    await onConnection(db.urls.superuser, (client) =>
      client.query(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'latchledger relay listener' AND datname = current_database()`),
    );
    await until(() => wakes === 2);
    await asTenant(db, tenant, (tx) => enqueue(tx, 'one', {}));
    await until(() => wakes === 3);
  });

  it('sees of the database only that work waits', async () => {
    await asTenant(db, tenant, (tx) => enqueue(tx, 'one', { secret: 'x' }));
    const refused = ['SELECT payload FROM outbox', 'SELECT * FROM outbox', `UPDATE outbox SET topic = 'b'`, 'DELETE FROM outbox',
      `INSERT INTO outbox (tenant_id, topic, payload) VALUES ('${tenant}', 'a', '{}')`, 'SELECT FROM operator', 'SELECT FROM audit_entry', 'SELECT app.tenant_ids()', 'SELECT FROM identity.session'];
    await onConnection(db.urls.relay, async (client) => {
      for (const statement of refused) await expect(client.query(statement)).rejects.toMatchObject({ code: sqlStates.insufficientPrivilege });
      expect((await client.query('SELECT tenant_id, id, topic, created_at, relayed_at FROM outbox')).rowCount).toBe(1);
    });
  });
});
