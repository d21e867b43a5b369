import { Client } from 'pg';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { asTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { workDeps } from '#tests/support/work';
import { noSecrets } from '../dependencies';
import { settleBatch } from './settle-batch';
import { startClose } from './start';

let db: TestDatabase;
beforeAll(async () => {
  db = await createTestDatabase();
});
afterAll(() => db?.drop());

const clock = { now: () => new Date('2025-11-05T12:00:00Z') };

/** Everything that is sent to the server while the work runs, BEGIN and COMMIT included. */
async function statementsOf(work: () => Promise<void>): Promise<string[]> {
  const statements: string[] = [];
  const prototype = Client.prototype as { query: (...words: unknown[]) => unknown };
  const { query } = prototype;
  prototype.query = function (this: Client, ...words: unknown[]): unknown {
    const [statement] = words as [string | { text: string }];
    statements.push(typeof statement === 'string' ? statement : statement.text);
    return query.apply(this, words);
  };
  try {
    await work();
  } finally {
    prototype.query = query;
  }
  return statements;
}

async function settleMonth(sites: number): Promise<{ batches: number; statements: string[]; settlements: bigint }> {
  const { tenantId } = await writeMonth(db, { sites, machinesPerSite: 8, collectionsPerSite: 4 });
  const backoffice = { database: db.database, clock, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
  const started = await startClose(backoffice, { kind: 'system', id: 'test', tenantId }, { cycle: 'month', startsOn: localDate('2025-10-01') });
  if (!started.ok) throw new Error(started.failure.code);
  const batches = (await asTenant(db, tenantId, (tx) => tx.sql<{ id: string }>('SELECT id FROM work_batch'))).rows;
  const statements = await statementsOf(async () => {
    for (const { id } of batches) await settleBatch(workDeps(backoffice), { tenantId, batchId: id });
  });
  const { rows } = await asTenant(db, tenantId, (tx) => tx.sql<{ count: bigint }>('SELECT count(*) FROM settlement'));
  return { batches: batches.length, statements, settlements: rows[0]?.count ?? 0n };
}

it('settles two hundred sites with at most 25 statements, and a small batch with no more', async () => {
  const large = await settleMonth(200);
  expect([large.batches, large.settlements]).toEqual([1, 200n]);
  expect(large.statements.length).toBeLessThanOrEqual(25);
  const small = await settleMonth(3);
  expect([small.batches, small.settlements]).toEqual([1, 3n]);
  expect(small.statements.length).toBeLessThanOrEqual(large.statements.length);
});

it('keeps to that in every batch of a larger month', async () => {
  const { batches, statements, settlements } = await settleMonth(650);
  expect([batches, settlements]).toEqual([3, 650n]);
  expect(statements.length).toBeLessThanOrEqual(3 * 25);
});
