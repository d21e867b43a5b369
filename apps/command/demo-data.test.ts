import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createTestDatabase, onConnection, type TestDatabase } from '#tests/support/database';
import { discardHalfSeeded, readDemoSignIns, seedIfEmpty } from './demo-data';

let db: TestDatabase;
let dataDirectory: string;
beforeAll(async () => {
  db = await createTestDatabase();
  dataDirectory = mkdtempSync(join(tmpdir(), 'latchledger-demo-data-'));
});
afterAll(async () => {
  rmSync(dataDirectory, { recursive: true, force: true });
  await db?.drop();
});

const place = () => ({ dataDirectory, superuserUrl: db.urls.superuser, appUrl: db.urls.app, masterKeyFile: '/nowhere', publicUrl: 'http://127.0.0.1:1', log: () => undefined });
const signIn = { operator: 'Brackwater', role: 'owner', email: 'owner@brackwater.example', password: 'made up' };

test('what the demo wrote is on the disk when the mark is gone, and the sign-ins are kept', async () => {
  const written: string[] = [];
  const seed = async (): Promise<readonly (typeof signIn)[]> => {
    expect(readdirSync(dataDirectory)).toEqual(['demo-unfinished']);
    // More than fits into one page of the server's log, and nobody waits for it.
    const { rows } = await onConnection(db.urls.superuser, (client) => client.query<{ at: string }>(`SELECT pg_logical_emit_message(false, 'test', repeat('x', 100000)) AS at`));
    written.push(rows[0]?.at ?? '');
    return [signIn];
  };
  await seedIfEmpty(seed, place());
  const { rows } = await onConnection(db.urls.superuser, (client) => client.query<{ kept: boolean }>('SELECT pg_current_wal_flush_lsn() >= $1::pg_lsn AS kept', written));
  expect(rows).toEqual([{ kept: true }]);
  expect(readDemoSignIns(dataDirectory)).toEqual([signIn]);
  expect(await discardHalfSeeded({ dataDirectory, recreate: () => Promise.reject(new Error('nothing is half written')) })).toBe(false);
});

test('a demo that was not written to its end is found by its mark', async () => {
  await expect(seedIfEmpty(() => Promise.reject(new Error('pulled out')), place())).rejects.toThrow('pulled out');
  let recreated = 0;
  expect(await discardHalfSeeded({ dataDirectory, recreate: async () => void (recreated += 1) })).toBe(true);
  expect(recreated).toBe(1);
  expect(await discardHalfSeeded({ dataDirectory, recreate: async () => void (recreated += 1) })).toBe(false);
});
