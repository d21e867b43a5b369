import { asTenant, createTestDatabase, type TestDatabase } from './database';
import { writeMonth } from './month-fixture';

let db: TestDatabase;
beforeAll(async () => {
  db = await createTestDatabase();
});
afterAll(() => db?.drop());

test('a month of sites is what its size says and keeps every rule of the tables', async () => {
  const month = await writeMonth(db, { sites: 3, machinesPerSite: 2, collectionsPerSite: 4 });
  const { rows } = await asTenant(db, month.tenantId, (tx) =>
    tx.sql(`SELECT (SELECT count(*) FROM site) AS sites, (SELECT count(*) FROM box_count) AS counts, (SELECT count(DISTINCT local_date) FROM collection) AS days,
                   (SELECT count(*) FROM box_count b JOIN placement p ON p.id = b.placement_id AND p.site_id = b.site_id AND p.machine_id = b.machine_id
                                                     JOIN collection c ON c.id = b.collection_id AND c.site_id = b.site_id) AS tied`),
  );
  expect(rows).toEqual([{ sites: 3n, counts: 24n, days: 4n, tied: 24n }]);
});
