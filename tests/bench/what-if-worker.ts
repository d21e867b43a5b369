/**
 * The api's side of the what-if bench, in a process of its own so that its memory is its own: asks for one site and for all
 * of them and prints one line of JSON. Arguments: connection string of the role app, tenant id, id of one site.
 */
import { noSecrets } from '#backoffice/dependencies';
import { runWhatIf } from '#backoffice/what-if/run';
import { termsChangesSchema } from '#contracts/terms';
import type { WhatIf } from '#contracts/what-if';
import { closeDatabase, createDatabase } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';

export type WhatIfWork = {
  readonly oneSiteMilliseconds: number;
  readonly allSitesSeconds: number;
  readonly periods: number;
  readonly idleMegabytes: number;
  readonly peakMegabytes: number;
};

async function main(appUrl: string, tenantId: string, siteId: string): Promise<void> {
  const database = createDatabase({ appUrl, poolSize: 1, applicationName: 'bench' });
  const deps = { database, clock: systemClock, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
  const changes = termsChangesSchema.parse({ split: { kind: 'shares', shares: [{ party: 'operator', percent: '45' }, { party: 'site', percent: '55' }] } });
  const year: WhatIf = { startsOn: localDate('2025-01-01'), endsBefore: localDate('2026-01-01'), changes };
  const ask = async (asked: WhatIf): Promise<{ seconds: number; periods: number }> => {
    const startedAt = performance.now();
    const answer = await runWhatIf(deps, { kind: 'system', id: 'bench', tenantId }, asked);
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    return { seconds: (performance.now() - startedAt) / 1000, periods: answer.value.periods };
  };
  await ask({ ...year, siteIds: [siteId] });
  const one: number[] = [];
  for (let round = 0; round < 5; round += 1) one.push((await ask({ ...year, siteIds: [siteId] })).seconds);
  const idleMegabytes = megabytes(process.memoryUsage().rss);
  const all = await ask(year);
  const work: WhatIfWork = {
    oneSiteMilliseconds: 1000 * (one.sort((first, second) => first - second)[2] ?? 0),
    allSitesSeconds: all.seconds,
    periods: all.periods,
    idleMegabytes,
    peakMegabytes: megabytes(process.resourceUsage().maxRSS * 1024),
  };
  await closeDatabase(database);
  process.stdout.write(`${JSON.stringify(work)}\n`);
}

function megabytes(bytes: number): number {
  return Math.round(bytes / 1_048_576);
}

const [appUrl, tenantId, siteId] = process.argv.slice(2);
if (appUrl === undefined || tenantId === undefined || siteId === undefined) throw new Error('what-if-worker <app url> <tenant id> <site id>');
void main(appUrl, tenantId, siteId);
