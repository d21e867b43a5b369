/** The worker as it really runs: relay, queue and processes. One is killed outright while it closes a month; another takes over. */
import { spawn, type ChildProcess } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { Close } from '#contracts/close';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { readClose } from '#backoffice/close/read';
import { startClose } from '#backoffice/close/start';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import type { Outcome } from '#contracts/outcome';
import { localDate } from '#domain/calendar/local-date';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { migrateQueue } from '#runtime/queue';
import { asTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { freePort } from '#tests/support/free-port';

const SITES = 900;
/** A dead worker's job is given to another after its lock has run out and somebody has looked (see libs/runtime/queue.ts). */
const TAKEN_OVER_WITHIN_MS = 90_000;

let db: TestDatabase;
let folder: string;
let backoffice: Backoffice;
let tenantId: string;
const workers: ChildProcess[] = [];

beforeAll(async () => {
  db = await createTestDatabase();
  await migrateQueue({ ownerUrl: db.urls.owner });
  folder = mkdtempSync(join(tmpdir(), 'worker-'));
  writeFileSync(join(folder, 'master.key'), `${randomBytes(32).toString('base64')}\n`);
  chmodSync(join(folder, 'master.key'), 0o600);
  backoffice = { database: db.database, clock: systemClock, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
  tenantId = (await writeMonth(db, { sites: SITES, machinesPerSite: 4, collectionsPerSite: 4 })).tenantId;
});
afterAll(async () => {
  await Promise.all(workers.map((worker) => ended(worker, 'SIGTERM')));
  rmSync(folder, { recursive: true });
  await db?.drop();
});

async function startWorker(): Promise<{ worker: ChildProcess; port: number }> {
  const port = await freePort();
  const program = join(__dirname, '..', '..', 'apps', 'worker', 'main.ts');
  const worker = spawn(process.execPath, ['-C', 'src', '-r', '@swc-node/register', program], {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: {
      PATH: process.env['PATH'],
      APP_DATABASE_URL: db.urls.app,
      RELAY_DATABASE_URL: db.urls.relay,
      MASTER_KEY_FILE: join(folder, 'master.key'),
      MAIL_DIRECTORY: join(folder, 'mail'),
      PUBLIC_URL: 'http://127.0.0.1:4800',
      WORKER_PORT: String(port),
    },
  });
  workers.push(worker);
  for (;;) {
    if (worker.exitCode !== null) throw new Error(`the worker ended with ${worker.exitCode}`);
    const status = await fetch(`http://127.0.0.1:${port}/health/ready`).then((answer) => answer.status, () => 0);
    if (status === 200) return { worker, port };
    await pause(50);
  }
}

async function ended(worker: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  if (worker.exitCode !== null || worker.signalCode !== null) return worker.exitCode;
  const end = new Promise<number | null>((resolve) => worker.once('exit', resolve));
  worker.kill(signal);
  return end;
}

const caller = () => ({ kind: 'system', id: 'test', tenantId }) as const;

function closeIn(asked: Outcome<Close>): Close {
  if (!asked.ok) throw new Error(asked.failure.code);
  return asked.value;
}

async function until(closeId: string, reached: (progress: Close['progress']) => boolean): Promise<Close['progress']> {
  const deadline = Date.now() + TAKEN_OVER_WITHIN_MS;
  for (;;) {
    const { progress } = closeIn(await readClose(backoffice, caller(), closeId));
    if (reached(progress)) return progress;
    if (Date.now() > deadline) throw new Error(`in vain: ${JSON.stringify(progress)}`);
    await pause(20);
  }
}

it('goes from a close to issued statements through the queue, killed twice on the way', async () => {
  const first = await startWorker();
  const { id } = closeIn(await startClose(backoffice, caller(), { cycle: 'month', startsOn: localDate('2025-10-01') }));
  await until(id, (progress) => progress.settled > 0);
  await ended(first.worker, 'SIGKILL');
  const halfway = closeIn(await readClose(backoffice, caller(), id)).progress;
  expect(halfway).toMatchObject({ running: true });
  expect(halfway.settled).toBeLessThan(SITES);

  const second = await startWorker();
  expect(await until(id, (progress) => !progress.running)).toMatchObject({ agreements: SITES, settled: SITES, failed: 0 });
  closeIn(await reviewClose(backoffice, caller(), { id }));
  expect(await until(id, (progress) => !progress.running)).toMatchObject({ reviewed: SITES, failed: 0 });
  closeIn(await issueClose(backoffice, caller(), id));
  await until(id, (progress) => progress.issued > 20);
  await ended(second.worker, 'SIGKILL');

  const third = await startWorker();
  expect(await until(id, (progress) => !progress.running)).toMatchObject({ numbered: SITES, issued: SITES, failed: 0 });
  const { rows } = await asTenant(db, tenantId, (tx) =>
    tx.sql(
      `SELECT (SELECT count(DISTINCT number_serial) FROM settlement) AS serials, (SELECT max(number_serial) FROM settlement) AS highest,
              (SELECT count(*) FROM statement) AS statements, (SELECT count(*) FROM evidence_leaf) AS leaves, (SELECT count(*) FROM journal_entry) AS entries`,
    ),
  );
  const all = BigInt(SITES);
  expect(rows).toEqual([{ serials: all, highest: SITES, statements: all, leaves: 2n * all, entries: all }]);

  const metrics = await fetch(`http://127.0.0.1:${third.port}/metrics`).then((answer) => answer.text());
  expect(metrics).toMatch(/latchledger_job_seconds_count\{[^}]*topic="close.render-batch",outcome="done"\} [1-9]/);
  expect(metrics).toMatch(/latchledger_jobs\{queue="statements",state="waiting"[^}]*\} 0/);
  expect(await ended(third.worker, 'SIGTERM')).toBe(0);
}, 300_000);
