/**
 * The worker's side of the close bench, in a process of its own so that its memory is its own: settles every waiting batch of
 * one operator and prints one line of JSON. Arguments: connection string of the role app, tenant id.
 */
import { randomBytes } from 'node:crypto';
import { Client } from 'pg';
import { waitingBatches } from '#backoffice/close/batch.sql';
import { settleBatch } from '#backoffice/close/settle-batch';
import { closeDatabase, createDatabase, withTenant } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { keepHeapSmall } from '#worker/memory';

export type CloseWork = {
  readonly seconds: number;
  readonly batches: number;
  readonly queries: number;
  readonly idleMegabytes: number;
  readonly peakMegabytes: number;
};

async function main(appUrl: string, tenantId: string): Promise<void> {
  keepHeapSmall();
  const counted = countQueries();
  const database = createDatabase({ appUrl, poolSize: 2, applicationName: 'bench' });
  const deps = {
    database,
    clock: systemClock,
    newId,
    randomBytes,
    onBug: ({ error }: { error: unknown }): void => {
      throw error;
    },
  };
  const waiting = await withTenant(database, { tenantId, kind: 'system', id: 'bench' }, (tx) => waitingBatches(tx, new Date(Date.now() + 60_000)));
  const idleMegabytes = megabytes(process.memoryUsage().rss);
  const queriesBefore = counted.queries;
  const startedAt = performance.now();
  for (const batch of waiting) await settleBatch(deps, { tenantId, batchId: batch.id });
  const seconds = (performance.now() - startedAt) / 1000;
  const work: CloseWork = {
    seconds,
    batches: waiting.length,
    queries: counted.queries - queriesBefore,
    idleMegabytes,
    peakMegabytes: megabytes(process.resourceUsage().maxRSS * 1024),
  };
  await closeDatabase(database);
  process.stdout.write(`${JSON.stringify(work)}\n`);
}

/** Everything that any connection of this process sends, BEGIN and COMMIT included. */
function countQueries(): { queries: number } {
  const counted = { queries: 0 };
  const prototype = Client.prototype as { query: (...words: unknown[]) => unknown };
  const { query } = prototype;
  prototype.query = function (this: Client, ...words: unknown[]): unknown {
    counted.queries += 1;
    return query.apply(this, words);
  };
  return counted;
}

function megabytes(bytes: number): number {
  return Math.round(bytes / 1_048_576);
}

const [appUrl, tenantId] = process.argv.slice(2);
if (appUrl === undefined || tenantId === undefined) throw new Error('close-worker <app url> <tenant id>');
void main(appUrl, tenantId);
