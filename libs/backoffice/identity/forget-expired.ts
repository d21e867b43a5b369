import { listTenantIds, withoutTenant, withTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { deleteOldRecords } from '../once.sql';

/** As the API promises: a repetition within this time gets the answer of the first request. */
const ANSWER_DAYS = 30;

/**
 * Housekeeping, to be run once a day: sessions that ended, attempts to sign in of long ago, and answers kept for repeated
 * requests. Doing it twice, or by two workers at once, does no harm.
 */
export async function forgetExpired(deps: Pick<Backoffice, 'database' | 'clock'>): Promise<void> {
  const now = deps.clock.now();
  await withoutTenant(deps.database, { kind: 'system', id: 'forget-expired' }, (call) => call('identity.forget_expired', now));
  const before = new Date(now.getTime() - ANSWER_DAYS * 24 * 60 * 60 * 1000);
  for (const tenantId of await listTenantIds(deps.database)) {
    await withTenant(deps.database, { kind: 'system', id: 'forget-expired', tenantId }, (tx) => deleteOldRecords(tx, before));
  }
}
