import { refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { selectUncounted, type UncountedRow } from './uncounted.sql';

const evidence: { readonly [why in UncountedRow['why']]: string } = {
  read: 'its meters were read',
  'counted-at-machine': 'it was counted at the machine',
  bag: 'it has a bag of its own',
};

/** As many machines as one can still read. */
const NAMED = 20;

/**
 * Refuses collections in which a box was opened and no count says what was found in it. Its meters would start anew at
 * that visit, so that what they counted before would be compared with no cash, now or later: a bag that never came would
 * be nobody's shortage.
 */
export async function refusedUncounted(tx: TenantTransaction, collectionIds: readonly string[]): Promise<Outcome<never>> {
  const uncounted = await selectUncounted(tx, collectionIds);
  const named = uncounted.slice(0, NAMED).map((row) => `${row.machine_tag} at ${row.site_code} on ${row.local_date} (${evidence[row.why]})`);
  const more = uncounted.length > NAMED ? ` and ${String(uncounted.length - NAMED)} more` : '';
  const advice = 'Enter what was in the box: 0 if it was empty, or if its bag did not come. If the box was not opened, take its meter readings back.';
  return refused('wrong-state', { detail: `There is no count of ${named.join(', ')}${more}. ${advice}` });
}
