/**
 * The worker's side of the bench of statements, in a process of its own so that its memory is its own: renders, signs and stores
 * what waits for one operator, as the worker does, and prints one line of JSON. Arguments: connection string of the role app, tenant id.
 */
import { waitingBatches } from '#backoffice/close/batch.sql';
import { renderBatch } from '#backoffice/close/render-batch';
import { closeDatabase, createDatabase, withTenant } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { workDeps } from '#tests/support/work';
import { keepHeapSmall } from '#worker/memory';

export type StatementWork = { readonly seconds: number; readonly idleMegabytes: number; readonly peakMegabytes: number };

async function main(appUrl: string, tenantId: string): Promise<void> {
  keepHeapSmall();
  const database = createDatabase({ appUrl, poolSize: 2, applicationName: 'bench' });
  const deps = workDeps({ database, clock: systemClock, newId });
  const waiting = await withTenant(database, { tenantId, kind: 'system', id: 'bench' }, (tx) => waitingBatches(tx, new Date(Date.now() + 60_000)));
  const idleMegabytes = megabytes(process.memoryUsage().rss);
  const startedAt = performance.now();
  for (const batch of waiting) await renderBatch(deps, { tenantId, batchId: batch.id });
  const work: StatementWork = { seconds: (performance.now() - startedAt) / 1000, idleMegabytes, peakMegabytes: megabytes(process.resourceUsage().maxRSS * 1024) };
  await closeDatabase(database);
  process.stdout.write(`${JSON.stringify(work)}\n`);
}

function megabytes(bytes: number): number {
  return Math.round(bytes / 1_048_576);
}

const [appUrl, tenantId] = process.argv.slice(2);
if (appUrl === undefined || tenantId === undefined) throw new Error('statement-worker <app url> <tenant id>');
void main(appUrl, tenantId);
