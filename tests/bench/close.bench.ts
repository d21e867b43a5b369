/**
 * Closing a month, from the first batch taken to the last written, against a bare COPY of the rows that it writes: into the
 * same tables with all their constraints and triggers, by a role that row security does not hold up.
 */
import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import { startClose } from '#backoffice/close/start';
import { closeDatabase, createDatabase } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { withMigratedServer, type MigratedServer } from '#tests/support/migrated-server';
import { writeMonth } from '#tests/support/month-fixture';
import type { CloseWork } from './close-worker';
import { cloneDatabase, copyOver } from './copy-floor';

export type CloseBench = {
  readonly sites: number;
  readonly boxCounts: number;
  readonly rowsWritten: number;
  readonly closeSeconds: number;
  readonly copySeconds: number;
  /** Close over COPY; below 1 would be faster than the floor. */
  readonly ratio: number;
  readonly queriesPerBatch: number;
  readonly idleMegabytes: number;
  readonly peakMegabytes: number;
  readonly peakMegabytesWithFiveTimesTheSites: number;
};

const SITES = 2_000;
const MONTH = { machinesPerSite: 8, collectionsPerSite: 4 } as const;
/** What a settlement of a draft consists of, in the order of their foreign keys. */
const WRITTEN = ['settlement', 'settlement_line', 'settlement_event'] as const;

export async function benchClose(): Promise<CloseBench> {
  let bench: CloseBench | undefined;
  await withMigratedServer(async (server) => {
    const small = await closeMonth(server, { name: 'bench_close', sites: SITES });
    const large = await closeMonth(server, { name: 'bench_close_large', sites: SITES * 5 });
    bench = {
      sites: SITES,
      boxCounts: SITES * MONTH.machinesPerSite * MONTH.collectionsPerSite,
      rowsWritten: small.rowsWritten,
      closeSeconds: small.work.seconds,
      copySeconds: small.copySeconds,
      ratio: small.work.seconds / small.copySeconds,
      queriesPerBatch: small.work.queries / small.work.batches,
      idleMegabytes: small.work.idleMegabytes,
      peakMegabytes: small.work.peakMegabytes,
      peakMegabytesWithFiveTimesTheSites: large.work.peakMegabytes,
    };
  });
  if (bench === undefined) throw new Error('nothing was measured');
  return bench;
}

type Measured = { readonly work: CloseWork; readonly copySeconds: number; readonly rowsWritten: number };

async function closeMonth(server: MigratedServer, month: { name: string; sites: number }): Promise<Measured> {
  const closed = await cloneDatabase(server, { name: month.name, template: new URL(server.urls.app).pathname.slice(1) });
  const database = createDatabase({ appUrl: closed.app, poolSize: 2 });
  const fixture = await writeMonth({ name: month.name, database, urls: closed, drop: () => Promise.resolve() }, { ...MONTH, sites: month.sites });
  const started = await startClose(closeDeps(database), { kind: 'system', id: 'bench', tenantId: fixture.tenantId }, { cycle: 'month', startsOn: localDate('2025-10-01') });
  if (!started.ok) throw new Error(started.failure.code);
  await closeDatabase(database);
  // The floor gets the same data, the same run, and no settlements.
  const floor = await cloneDatabase(server, { name: `${month.name}_floor`, template: month.name });
  const work = await settleInProcessOfItsOwn(closed.app, fixture.tenantId);
  return { work, ...(await copyOver({ from: closed.superuser, to: floor.superuser, tables: WRITTEN })) };
}

function closeDeps(database: Backoffice['database']): Backoffice {
  return { database, clock: { now: () => new Date('2025-11-05T12:00:00Z') }, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
}

async function settleInProcessOfItsOwn(appUrl: string, tenantId: string): Promise<CloseWork> {
  const program = join(__dirname, 'close-worker.ts');
  const words = ['-C', 'src', '-r', '@swc-node/register', program, appUrl, tenantId];
  const { stdout } = await promisify(execFile)(process.execPath, words, { maxBuffer: 10_000_000 });
  return JSON.parse(stdout) as CloseWork;
}
