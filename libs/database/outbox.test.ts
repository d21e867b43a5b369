import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { constraintViolationOf } from './constraint';
import { clearOutbox, enqueue, enqueueAll, readOutboxRow } from './outbox';
import { createRelay } from './relay';

let db: TestDatabase;
let tenant: string;
let other: string;
beforeAll(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
  other = await createTenant(db);
});
afterAll(() => db.drop());

describe('the outbox', () => {
  it('keeps work that was asked for, for its own tenant', async () => {
    const id = await asTenant(db, tenant, (tx) => enqueue(tx, 'settlement.close-batch', { batch: '1', amounts: ['1.00'] }));
    const row = { id, topic: 'settlement.close-batch', payload: { batch: '1', amounts: ['1.00'] } };
    expect(await asTenant(db, tenant, (tx) => readOutboxRow(tx, id))).toEqual(row);
    expect(await asTenant(db, other, (tx) => readOutboxRow(tx, id))).toBeUndefined();
  });

  it('keeps no work of a transaction that was undone', async () => {
    const ids: string[] = [];
    const undone = asTenant(db, tenant, async (tx) => {
      ids.push(await enqueue(tx, 'a', {}));
      throw new Error('undone');
    });
    await expect(undone).rejects.toThrow('undone');
    expect(await asTenant(db, tenant, (tx) => readOutboxRow(tx, ids[0] ?? ''))).toBeUndefined();
  });

  it('gives the ids of many rows in the order of their payloads', async () => {
    const payloads = Array.from({ length: 500 }, (_, index) => ({ index }));
    const found = await asTenant(db, tenant, async (tx) => {
      const ids = await enqueueAll(tx, 'many', payloads);
      const { rows } = await tx.sql<{ id: string; payload: unknown }>(`SELECT id, payload FROM outbox WHERE topic = 'many'`);
      const byId = new Map(rows.map((row) => [row.id, row.payload]));
      return ids.map((id) => byId.get(id));
    });
    expect(found).toEqual(payloads);
  });

  it('refuses a topic that is not of its form', async () => {
    const error = await asTenant(db, tenant, (tx) => enqueue(tx, 'Settlement close', {})).catch((thrown: unknown) => thrown);
    expect(constraintViolationOf(error)).toEqual({ kind: 'check', constraint: 'outbox_topic_form', table: 'outbox' });
  });

  it('clears away what was relayed before a time, and nothing that waits', async () => {
    const relay = createRelay({ relayUrl: db.urls.relay });
    const waiting = (): Promise<unknown> => asTenant(db, other, async (tx) => (await tx.sql('SELECT topic FROM outbox')).rows);
    await asTenant(db, other, (tx) => enqueue(tx, 'old', {}));
    while ((await relay.relayBatch(1000, async () => undefined)) > 0);
    await asTenant(db, other, (tx) => enqueue(tx, 'new', {}));
    const clearBefore = (relayedBefore: Date): Promise<number> => asTenant(db, other, (tx) => clearOutbox(tx, { relayedBefore }));
    expect(await clearBefore(new Date('2026-01-01'))).toBe(0);
    expect(await clearBefore(new Date('2999-01-01'))).toBe(1);
    expect(await waiting()).toEqual([{ topic: 'new' }]);
    await relay.close();
  });
});
