import { randomUUID } from 'node:crypto';
import { DatabaseError } from 'pg';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { withRetries } from './retry';
import { closeDatabase, createDatabase, withTenant, type TenantTransaction } from './tenant';

const serverError = (code: string): DatabaseError => Object.assign(new DatabaseError('made up', 0, 'error'), { code });

describe('withRetries', () => {
  it.each(['40001', '40P01'])('runs again after %s until it succeeds', async (code) => {
    const retries: unknown[] = [];
    let runs = 0;
    const value = await withRetries(
      async () => {
        runs += 1;
        if (runs < 3) throw serverError(code);
        return runs;
      },
      (retry) => retries.push(retry),
    );
    expect(value).toBe(3);
    expect(retries).toEqual([
      { sqlState: code, attempt: 1 },
      { sqlState: code, attempt: 2 },
    ]);
  });

  it('gives up after six attempts and throws what the last one threw', async () => {
    let runs = 0;
    const last = withRetries(async () => {
      runs += 1;
      throw Object.assign(serverError('40001'), { run: runs });
    });
    await expect(last).rejects.toMatchObject({ code: '40001', run: 6 });
  });

  it.each([serverError('23505'), serverError('55P03'), serverError('57P01'), new Error('40001'), Object.assign(new Error('lost'), { code: 'ECONNRESET' })])(
    'does not run again after %p: it may have committed, or would fail alike',
    async (error) => {
      let runs = 0;
      const once = withRetries(async () => {
        runs += 1;
        throw error;
      });
      await expect(once).rejects.toBe(error);
      expect(runs).toBe(1);
    },
  );
});

describe('a transaction that lost against another one', () => {
  let db: TestDatabase;
  let tenant: string;
  beforeAll(async () => {
    db = await createTestDatabase();
    tenant = await createTenant(db);
  });
  afterAll(() => db.drop());

  it('of two that deadlock, both take effect once', async () => {
    const retries: string[] = [];
    const database = createDatabase({ appUrl: db.urls.app, poolSize: 2, onRetry: (retry) => retries.push(retry.sqlState) });
    const [first, second] = [randomUUID(), randomUUID()];
    await asTenant(db, tenant, async (tx) => {
      await tx.sql(
        `INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1, $2, 'ONE', '.', 'US', now()), ($1, $3, 'TWO', '.', 'US', now())`,
        [tenant, first, second],
      );
    });
    // Each waits until the other one holds its first row, so that the two must meet.
    const bothHold = meetingOf(2);
    const append = async (tx: TenantTransaction, order: { ids: readonly string[]; letter: string }): Promise<void> => {
      for (const id of order.ids) {
        await tx.sql('UPDATE tax_area SET name = name || $2 WHERE id = $1', [id, order.letter]);
        await bothHold();
      }
    };
    const scope = { tenantId: tenant, kind: 'system', id: 'test' } as const;
    await Promise.all([
      withTenant(database, scope, (tx) => append(tx, { ids: [first, second], letter: 'a' })),
      withTenant(database, scope, (tx) => append(tx, { ids: [second, first], letter: 'b' })),
    ]);
    const { rows } = await asTenant(db, tenant, (tx) => tx.sql<{ name: string }>('SELECT name FROM tax_area ORDER BY code'));
    expect(rows.map(({ name }) => [...name].sort().join(''))).toEqual(['.ab', '.ab']);
    expect(retries).toEqual(['40P01']);
    await closeDatabase(database);
  });

  it('is run again from BEGIN when Prisma reports it, so nothing of the first run stays', async () => {
    let runs = 0;
    await asTenant(db, tenant, async (tx) => {
      runs += 1;
      await tx.sql(`UPDATE operator SET name = name || '!'`);
      if (runs === 1) await tx.prisma.$executeRawUnsafe(`DO $$ BEGIN RAISE EXCEPTION 'lost' USING ERRCODE = 'serialization_failure'; END $$`);
    });
    expect(runs).toBe(2);
    expect((await asTenant(db, tenant, (tx) => tx.sql('SELECT name FROM operator'))).rows).toEqual([{ name: 'Test operator!' }]);
  });
});

/** Resolves for everyone once `size` callers wait; after that, at once. */
function meetingOf(size: number): () => Promise<void> {
  let waiting: (() => void)[] = [];
  let met = false;
  return () =>
    new Promise((resolve) => {
      if (met) return resolve();
      waiting.push(resolve);
      if (waiting.length < size) return;
      met = true;
      waiting.forEach((go) => go());
      waiting = [];
    });
}
