import { createHash, randomBytes } from 'node:crypto';
import type { StatementDeps } from '#backoffice/statement/issue';
import type { Backoffice } from '#backoffice/dependencies';
import { waitingBatches } from '#backoffice/close/batch.sql';
import { withTenant } from '#database/tenant';
import { masterKeyFrom } from '#runtime/secrets-at-rest';
import { workByTopic } from '#worker/handle';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { batchTopics } from '#backoffice/close/enqueue-batches';

/** Under which the secrets of tests are sealed, by api and worker alike. */
export const testMasterKey = masterKeyFrom(createHash('sha256').update('master key of tests').digest());

/** What a worker is given, on a test's database. A bug that would be kept to one settlement fails the test. */
export function workDeps(backoffice: Pick<Backoffice, 'database' | 'clock' | 'newId'>, more: Partial<StatementDeps> = {}): StatementDeps {
  return {
    ...backoffice,
    randomBytes,
    operatorSecrets: operatorSecretsUnder([testMasterKey]),
    onBug: ({ error }) => {
      throw error;
    },
    ...more,
  };
}

/** Does what waits for one operator, as its worker would, until nothing waits any more. Gives the number of batches. */
export async function doWaitingWork(deps: StatementDeps, tenantId: string): Promise<number> {
  const scope = { tenantId, kind: 'system', id: 'test' } as const;
  const soon = new Date(deps.clock.now().getTime() + 60_000);
  for (let done = 0; ; done += 1) {
    const [next] = await withTenant(deps.database, scope, (tx) => waitingBatches(tx, soon));
    if (next === undefined) return done;
    await workByTopic.get(batchTopics[next.task])?.run(deps, { tenantId, batchId: next.id });
  }
}
