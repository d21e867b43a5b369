import { seedDemo } from './seed';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';
import { onConnection } from '#tests/support/connection';

let db: TestDatabase;
beforeAll(async () => {
  db = await createTestDatabase();
});
afterAll(() => db?.drop());

test('the demo goes into the books through the use cases and leaves the last whole period open', async () => {
  const signIns = await seedDemo({ appUrl: db.urls.app, masterKeyFile: '/nowhere', publicUrl: 'http://127.0.0.1:1', log: () => undefined });
  expect(signIns.map((signIn) => signIn.role)).toEqual(['owner', 'bookkeeper', 'collector', 'site-manager', 'auditor', 'owner', 'bookkeeper', 'collector', 'site-manager', 'auditor']);
  expect(new Set(signIns.map((signIn) => signIn.password)).size).toBe(signIns.length);
  const { rows } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT (SELECT count(*)::int FROM site) AS sites, (SELECT count(*)::int FROM machine) AS machines,
              (SELECT count(*)::int FROM settlement WHERE state = 'numbered') AS numbered, (SELECT count(*)::int FROM settlement WHERE state <> 'numbered') AS others,
              (SELECT count(*)::int FROM box_count) AS counts, (SELECT count(*)::int FROM collection WHERE state <> 'accepted') AS open,
              (SELECT count(*)::int FROM late_change_settled) AS late_settled, (SELECT count(*)::int FROM settlement WHERE earlier_minor <> 0) AS with_differences,
              (SELECT count(*)::int FROM work_batch WHERE failures <> '[]') AS failed_batches,
              (SELECT count(*)::int FROM close_run) AS runs`,
    ),
  );
  const [found] = rows;
  expect(found).toMatchObject({ sites: 60, machines: 350, others: 0, open: 0, failed_batches: 0 });
  expect(found?.['numbered']).toBeGreaterThan(700);
  expect(found?.['counts']).toBeGreaterThan(10_000);
  expect(found?.['late_settled']).toBeGreaterThan(5);
  expect(found?.['with_differences']).toBeGreaterThan(5);
  expect(found?.['runs']).toBeGreaterThanOrEqual(26);
}, 120_000);
