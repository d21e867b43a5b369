/** A worker that is killed between any two steps of settling, reviewing and issuing: whoever comes next finishes, and nothing is doubled. */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { readClose } from '#backoffice/close/read';
import { settleBatch } from '#backoffice/close/settle-batch';
import { startClose } from '#backoffice/close/start';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import { verifyStoredLog } from '#backoffice/evidence/verify-stored';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { asTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { doWaitingWork, workDeps } from '#tests/support/work';

/** More than one slice of statements. */
const SITES = 12;
const stages = ['settle', 'review', 'issue'] as const;
type Stage = (typeof stages)[number];

let db: TestDatabase;
let backoffice: Backoffice;
beforeAll(async () => {
  db = await createTestDatabase();
  backoffice = { database: db.database, clock: { now: () => new Date('2025-11-05T12:00:00Z') }, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
});
afterAll(() => db?.drop());

const caller = (tenantId: string) => ({ kind: 'system', id: 'test', tenantId }) as const;

/** Asks for a stage; its work waits afterwards. */
async function ask(stage: Stage, month: { tenantId: string; closeId: string }): Promise<string> {
  const { tenantId, closeId } = month;
  const asked =
    stage === 'settle'
      ? await startClose(backoffice, caller(tenantId), { cycle: 'month', startsOn: localDate('2025-10-01') })
      : stage === 'review'
        ? await reviewClose(backoffice, caller(tenantId), { id: closeId })
        : await issueClose(backoffice, caller(tenantId), closeId);
  if (!asked.ok) throw new Error(asked.failure.code);
  return asked.value.id;
}

type Month = { readonly tenantId: string; readonly closeId: string };

async function newMonth(): Promise<string> {
  const { tenantId } = await writeMonth(db, { sites: SITES, machinesPerSite: 2, collectionsPerSite: 2 });
  await asTenant(db, tenantId, (tx) =>
    tx.sql(
      `INSERT INTO webhook (tenant_id, id, name, url, event_types, changed_at, created_at, created_by)
       VALUES ($1, $2, 'Accounting', 'https://books.example/', '{settlement.issued}', '2025-01-01', '2025-01-01', 'system:test')`,
      [tenantId, newId()],
    ),
  );
  return tenantId;
}

/** Everything that must come out the same, whatever happened on the way. */
async function booksOf(tenantId: string): Promise<object> {
  const { rows } = await asTenant(db, tenantId, (tx) =>
    tx.sql(
      `SELECT (SELECT array_agg(number_serial ORDER BY number_serial) FROM settlement) AS serials,
              (SELECT array_agg(DISTINCT kinds) FROM (SELECT string_agg(kind, ' ' ORDER BY happened_at, id) AS kinds FROM settlement_event GROUP BY settlement_id) e) AS histories,
              (SELECT count(*) FROM settlement WHERE state = 'issued') AS issued, (SELECT count(*) FROM settlement_line) AS lines, (SELECT count(*) FROM statement) AS statements,
              (SELECT sum(payable_minor) FROM settlement)::bigint AS payable_minor, (SELECT sum(amount_minor) FROM settlement_line WHERE kind = 'cash')::bigint AS cash_minor,
              (SELECT count(*) FROM journal_entry) AS entries, (SELECT sum(abs(amount_minor)) FROM journal_posting)::bigint AS posted_minor,
              (SELECT count(*) FROM evidence_leaf WHERE kind = 'settlement-numbered') AS numbered_leaves, (SELECT count(*) FROM evidence_leaf WHERE kind = 'statement-issued') AS issued_leaves,
              (SELECT count(*) FROM signing_certificate) AS certificates, (SELECT count(*) FROM work_batch WHERE state = 'waiting') AS waiting,
              (SELECT count(*) FROM webhook_event WHERE type = 'settlement.issued') AS news`,
    ),
  );
  return rows[0] ?? {};
}

async function numbersOf(tenantId: string): Promise<Map<string, string>> {
  const { rows } = await asTenant(db, tenantId, (tx) => tx.sql<{ id: string; number: string }>('SELECT id, number FROM settlement WHERE number IS NOT NULL'));
  return new Map(rows.map((row) => [row.id, row.number]));
}

/** Kills a worker process after some steps; tells whether there were as many. */
function killAfter(steps: number, tenantId: string): boolean {
  const program = join(__dirname, '..', 'support', 'killed-worker.ts');
  const run = spawnSync(process.execPath, ['-C', 'src', '-r', '@swc-node/register', program, db.urls.app, tenantId, String(steps)], { encoding: 'utf8' });
  if (run.signal === 'SIGKILL') return true;
  if (run.status !== 0) throw new Error(run.stderr);
  return false;
}

const finish = (tenantId: string): Promise<number> => doWaitingWork(workDeps(backoffice), tenantId);

async function walk(through: readonly Stage[], tenantId: string): Promise<Month> {
  let closeId = '';
  for (const stage of through) {
    closeId = await ask(stage, { tenantId, closeId });
    await finish(tenantId);
  }
  return { tenantId, closeId };
}

let undisturbed: object;
beforeAll(async () => {
  undisturbed = await booksOf((await walk(stages, await newMonth())).tenantId);
  expect(undisturbed).toMatchObject({
    serials: Array.from({ length: SITES }, (_, index) => index + 1),
    histories: ['drafted reviewed numbered issued'],
    issued: BigInt(SITES),
    statements: BigInt(SITES),
    entries: BigInt(SITES),
    numbered_leaves: BigInt(SITES),
    issued_leaves: BigInt(SITES),
    certificates: 1n,
    waiting: 0n,
    news: BigInt(SITES),
  });
});

describe.each(stages.map((stage, index) => ({ stage, before: stages.slice(0, index), after: stages.slice(index + 1) })))('$stage', ({ stage, before, after }) => {
  it(
    'is finished by the next worker, wherever it was cut off',
    async () => {
      let steps = 1;
      for (; ; steps += 1) {
        const month = await walk(before, await newMonth());
        const closeId = await ask(stage, month);
        const wasKilled = killAfter(steps, month.tenantId);
        const numbersBefore = await numbersOf(month.tenantId);
        await finish(month.tenantId);
        for (const next of after) {
          await ask(next, { ...month, closeId });
          await finish(month.tenantId);
        }
        expect({ steps, ...(await booksOf(month.tenantId)) }).toEqual({ steps, ...undisturbed });
        const numbersAfter = await numbersOf(month.tenantId);
        for (const [id, number] of numbersBefore) expect(numbersAfter.get(id)).toBe(number);
        expect((await verifyStoredLog(db.database, { tenantId: month.tenantId, heldHeads: [], statement: undefined, trust: { anchors: [] } })).finding.kind).toBe('fits');
        const close = await readClose(backoffice, caller(month.tenantId), closeId);
        expect(close).toMatchObject({ ok: true, value: { progress: { issued: SITES, failed: 0, running: false }, failures: [] } });
        if (!wasKilled) break;
      }
      // The last round was not killed: before it, every step was.
      expect(steps).toBeGreaterThan(2);
    },
    600_000,
  );
});

it('does nothing a second time for a batch that is done', async () => {
  const tenantId = await newMonth();
  await ask('settle', { tenantId, closeId: '' });
  const { rows } = await asTenant(db, tenantId, (tx) => tx.sql<{ id: string }>('SELECT id FROM work_batch'));
  const job = { tenantId, batchId: rows[0]?.id ?? '' };
  await settleBatch(workDeps(backoffice), job);
  const before = await booksOf(tenantId);
  await settleBatch(workDeps(backoffice), job);
  expect(await booksOf(tenantId)).toEqual(before);
});
