/**
 * A worker that is killed while it tells webhooks: it delivers what is due for one operator and ends itself outright after a number of steps.
 * Arguments: connection string of the role app, tenant id, number of steps. Exit status 0 means that there were fewer.
 */
import { deliverDue } from '#backoffice/webhook/deliver';
import { closeDatabase, createDatabase } from '#database/tenant';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { outgoing } from '#runtime/outgoing-post';
import { parseNetwork } from '#runtime/public-address';
import { testMasterKey } from './work';

async function main(appUrl: string, tenantId: string, steps: number): Promise<void> {
  const database = createDatabase({ appUrl, poolSize: 6, applicationName: 'killed webhook worker' });
  let left = steps;
  await deliverDue(
    {
      database,
      clock: { now: () => new Date('2026-05-02T15:00:00Z') },
      operatorSecrets: operatorSecretsUnder([testMasterKey]),
      publicUrl: 'http://127.0.0.1',
      post: outgoing({ allowed: [parseNetwork('127.0.0.0/8')].flatMap((network) => network ?? []) }).post,
      onTrouble: (error) => {
        throw error;
      },
      onStep: () => {
        left -= 1;
        // No handler runs and nothing is flushed, as when the power fails.
        if (left === 0) process.kill(process.pid, 'SIGKILL');
      },
    },
    tenantId,
  );
  await closeDatabase(database);
}

const [appUrl, tenantId, steps] = process.argv.slice(2);
if (appUrl === undefined || tenantId === undefined || steps === undefined) throw new Error('killed-webhook-worker <app url> <tenant id> <steps>');
void main(appUrl, tenantId, Number(steps));
