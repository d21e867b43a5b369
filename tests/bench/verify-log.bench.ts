/**
 * `npm run verify-log` over a long log about keys, against reading the same rows on the same connection: the log itself, its
 * heads, and the books of keys that it is compared with. KEY_EVENTS says how many events.
 */
import { randomBytes } from 'node:crypto';
import { selectStoredEvents } from '#backoffice/custody/compare-log.sql';
import { custodyEntry } from '#backoffice/custody/leaf';
import { lockLog } from '#backoffice/evidence/append';
import { verifyStoredLog } from '#backoffice/evidence/verify-stored';
import { closeDatabase, createDatabase, withTenant, type Database, type TenantTransaction } from '#database/tenant';
import { writeKeyHistory } from '#tests/support/key-history';
import { withMigratedServer } from '#tests/support/migrated-server';

export type VerifyLogBench = { readonly events: number; readonly rows: number; readonly verifyMilliseconds: number; readonly readMilliseconds: number; readonly ratio: number };

const EVENTS = Number(process.env['KEY_EVENTS'] ?? 100_000);
const EVENTS_PER_COPY = 5;
const ROUNDS = 3;
const BATCH = 1000;
/** Rows that are read at once, as many as the check itself takes. */
const PAGE = 5000;

export async function benchVerifyLog(): Promise<VerifyLogBench> {
  let result: VerifyLogBench | undefined;
  await withMigratedServer(async (server) => {
    const superuser = new URL(server.superuserUrl);
    superuser.pathname = new URL(server.urls.app).pathname;
    const database = createDatabase({ appUrl: server.urls.app, poolSize: 1 });
    const db = { name: 'verify-log', database, urls: { ...server.urls, superuser: superuser.toString() }, drop: () => Promise.resolve() };
    const { tenantId } = await writeKeyHistory(db, { copies: Math.ceil(EVENTS / EVENTS_PER_COPY), eventsPerCopy: EVENTS_PER_COPY });
    await writeLog(database, tenantId);
    result = await measure(database, tenantId);
    await closeDatabase(database);
  });
  if (result === undefined) throw new Error('nothing was measured');
  return result;
}

const scope = (tenantId: string) => ({ tenantId, kind: 'system', id: 'bench' }) as const;

/** The entries that the program would have written with these events. */
async function writeLog(database: Database, tenantId: string): Promise<void> {
  const ids = await withTenant(database, scope(tenantId), async (tx) => (await tx.sql<{ id: string }>('SELECT id FROM custody_event WHERE tenant_id = $1 ORDER BY recorded_at, id', [tx.tenantId])).rows.map(({ id }) => id));
  for (let start = 0; start < ids.length; start += BATCH) {
    await withTenant(database, scope(tenantId), async (tx) => {
      const stored = await selectStoredEvents(tx, ids.slice(start, start + BATCH));
      const log = await lockLog(tx, { now: () => new Date(), randomBytes });
      await log.append([...stored].map(([subjectId, { event, copies }]) => ({ subjectId, entry: custodyEntry(event, copies) })));
    });
  }
}

/** The best of some rounds of each, taken in turn, so that whatever else the machine does meets both. */
async function measure(database: Database, tenantId: string): Promise<VerifyLogBench> {
  const [verify, read]: [number[], number[]] = [[], []];
  let [rows, events] = [0, 0];
  for (let round = 0; round < ROUNDS; round += 1) {
    const beforeRead = performance.now();
    rows = await withTenant(database, scope(tenantId), readAll);
    read.push(performance.now() - beforeRead);
    const beforeVerify = performance.now();
    const { finding, custody } = await verifyStoredLog(database, { tenantId, heldHeads: [], statement: undefined, trust: { anchors: [] } });
    verify.push(performance.now() - beforeVerify);
    if (finding.kind !== 'fits' || custody.kind !== 'fits') throw new Error(`the log does not fit: ${JSON.stringify({ finding: finding.kind, custody })}`);
    events = finding.head.size;
  }
  const [verifyMilliseconds, readMilliseconds] = [Math.min(...verify), Math.min(...read)];
  return { events, rows, verifyMilliseconds, readMilliseconds, ratio: verifyMilliseconds / readMilliseconds };
}

/** Every row that the check looks at, once, by pages in the order of its key. */
async function readAll(tx: TenantTransaction): Promise<number> {
  const keys = { evidence_leaf: 'leaf_index', evidence_head: 'size', custody_event: 'id', custody_event_copy: 'event_id, key_copy_id', custody: 'id' } as const;
  let rows = 0;
  for (const [table, key] of Object.entries(keys)) {
    await tx.sql(`DECLARE every NO SCROLL CURSOR FOR SELECT * FROM ${table} WHERE tenant_id = '${tx.tenantId}' ORDER BY tenant_id, ${key}`);
    for (let taken = PAGE; taken === PAGE; ) {
      taken = (await tx.sql(`FETCH ${PAGE} FROM every`)).rows.length;
      rows += taken;
    }
    await tx.sql('CLOSE every');
  }
  return rows;
}
