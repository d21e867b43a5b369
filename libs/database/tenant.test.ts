import { createTestDatabase, createTenant, asTenant, type TestDatabase } from '#tests/support/database';

let db: TestDatabase;
beforeAll(async () => {
  const t=performance.now();
  db = await createTestDatabase();
  process.stderr.write(`create ${performance.now()-t}\n`);
  const t2=performance.now();
  const d2 = await createTestDatabase();
  process.stderr.write(`create2 ${performance.now()-t2}\n`);
  const t3=performance.now();
  await d2.drop();
  process.stderr.write(`drop ${performance.now()-t3}\n`);
});
afterAll(() => db.drop());

it('works', async () => {
  const tenant = await createTenant(db);
  const n = await asTenant(db, tenant, async (tx) => [await tx.prisma.operator.count(), (await tx.sql('select count(*) from operator')).rows]);
  expect(n).toEqual([1, [{ count: 1n }]]);
});
