/** What one worker needs for a month of statements, and whether three times as many need more. */
import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { waitingBatches } from '#backoffice/close/batch.sql';
import { batchTopics } from '#backoffice/close/enqueue-batches';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { startClose } from '#backoffice/close/start';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import type { Close } from '#contracts/close';
import type { Outcome } from '#contracts/outcome';
import { closeDatabase, createDatabase, withTenant } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { withMigratedServer, type MigratedServer } from '#tests/support/migrated-server';
import { writeMonth } from '#tests/support/month-fixture';
import { workDeps } from '#tests/support/work';
import { workByTopic } from '#worker/handle';
import { cloneDatabase } from './copy-floor';
import type { StatementWork } from './statement-worker';

export type StatementMemoryBench = {
  readonly statements: number;
  readonly statementsPerSecond: number;
  readonly idleMegabytes: number;
  /** Peak over idle: at most 120 MB are meant. */
  readonly peakOverIdleMegabytes: number;
  /** What three times the statements need more: at most 25 MB are meant. */
  readonly moreForThreeTimesMegabytes: number;
};

const STATEMENTS = 2_000;

export async function benchStatementMemory(): Promise<StatementMemoryBench> {
  let bench: StatementMemoryBench | undefined;
  await withMigratedServer(async (server) => {
    const small = await issueMonth(server, { name: 'bench_statements', sites: STATEMENTS });
    const large = await issueMonth(server, { name: 'bench_statements_large', sites: STATEMENTS * 3 });
    bench = {
      statements: STATEMENTS,
      statementsPerSecond: STATEMENTS / small.seconds,
      idleMegabytes: small.idleMegabytes,
      peakOverIdleMegabytes: small.peakMegabytes - small.idleMegabytes,
      moreForThreeTimesMegabytes: large.peakMegabytes - small.peakMegabytes,
    };
  });
  if (bench === undefined) throw new Error('nothing was measured');
  return bench;
}

/** Everything up to the numbers here; the statements in a process of their own. */
async function issueMonth(server: MigratedServer, month: { name: string; sites: number }): Promise<StatementWork> {
  const urls = await cloneDatabase(server, { name: month.name, template: new URL(server.urls.app).pathname.slice(1) });
  const database = createDatabase({ appUrl: urls.app, poolSize: 2 });
  const backoffice: Backoffice = { database, clock: { now: () => new Date('2025-11-05T12:00:00Z') }, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
  const { tenantId } = await writeMonth({ name: month.name, database, urls, drop: () => Promise.resolve() }, { sites: month.sites, machinesPerSite: 8, collectionsPerSite: 1 });
  const caller = { kind: 'system', id: 'bench', tenantId } as const;
  const { id } = closeIn(await startClose(backoffice, caller, { cycle: 'month', startsOn: localDate('2025-10-01') }));
  await workUpToNumbers(backoffice, tenantId);
  closeIn(await reviewClose(backoffice, caller, { id }));
  await workUpToNumbers(backoffice, tenantId);
  closeIn(await issueClose(backoffice, caller, id));
  await workUpToNumbers(backoffice, tenantId);
  await closeDatabase(database);
  const program = ['-C', 'src', '-r', '@swc-node/register', join(__dirname, 'statement-worker.ts'), urls.app, tenantId];
  const { stdout } = await promisify(execFile)(process.execPath, program, { maxBuffer: 10_000_000 });
  return JSON.parse(stdout) as StatementWork;
}

async function workUpToNumbers(backoffice: Backoffice, tenantId: string): Promise<void> {
  const deps = workDeps(backoffice);
  for (;;) {
    const waiting = await withTenant(backoffice.database, { tenantId, kind: 'system', id: 'bench' }, (tx) => waitingBatches(tx, new Date('2025-11-05T12:01:00Z')));
    const next = waiting.find(({ task }) => task !== 'render');
    if (next === undefined) return;
    await workByTopic.get(batchTopics[next.task])?.run(deps, { tenantId, batchId: next.id });
  }
}

function closeIn(asked: Outcome<Close>): Close {
  if (!asked.ok) throw new Error(asked.failure.code);
  return asked.value;
}
