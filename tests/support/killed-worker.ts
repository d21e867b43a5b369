/**
 * A worker that is killed in the middle: does what waits for one operator and ends itself outright after a number of steps.
 * Arguments: connection string of the role app, tenant id, number of steps. Exit status 0 means that there were fewer.
 */
import { closeDatabase, createDatabase } from '#database/tenant';
import { newId } from '#runtime/ids';
import { doWaitingWork, workDeps } from './work';

async function main(appUrl: string, tenantId: string, steps: number): Promise<void> {
  const database = createDatabase({ appUrl, poolSize: 2, applicationName: 'killed worker' });
  let left = steps;
  const clock = { now: () => new Date('2025-11-05T12:00:00Z') };
  const deps = workDeps({ database, clock, newId }, {
    onStep: () => {
      left -= 1;
      // No handler runs and nothing is flushed, as when the power fails.
      if (left === 0) process.kill(process.pid, 'SIGKILL');
    },
  });
  await doWaitingWork(deps, tenantId);
  await closeDatabase(database);
}

const [appUrl, tenantId, steps] = process.argv.slice(2);
if (appUrl === undefined || tenantId === undefined || steps === undefined) throw new Error('killed-worker <app url> <tenant id> <steps>');
void main(appUrl, tenantId, Number(steps));
