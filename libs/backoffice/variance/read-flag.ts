import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { VarianceFlagDetail } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { openersSinceLastCollection, readChecks } from '../collection-key/check';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectFlag, selectFlagEvents, type FlagRow } from './flag.sql';
import { selectCountingSites } from './month.sql';
import { toFigures, toFlag } from './to-flag';

/** A flag with its history, and who could have opened the box since it was last emptied. */
export async function readFlag(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<VarianceFlagDetail>> {
  return perform(deps, caller, 'variance.read', async ({ tx, now }) => {
    const row = await selectFlag(tx, query.id);
    if (row === null) return refused('not-found');
    return (await refusedWhileCounting(tx, [row.site_id])) ?? done(await showFlag(tx, row, now));
  });
}

/** Who counts a collection at the site learns nothing of what was expected there, until it is accepted. */
export async function refusedWhileCounting(tx: TenantTransaction, siteIds: readonly string[]): Promise<Outcome<never> | null> {
  const counting = await selectCountingSites(tx);
  if (!siteIds.some((siteId) => counting.includes(siteId))) return null;
  return refused('not-allowed-in-state', { detail: 'You are counting a collection there: what was expected is shown when it is accepted.' });
}

export async function showFlag(tx: TenantTransaction, row: FlagRow, now: Date): Promise<VarianceFlagDetail> {
  const events = await selectFlagEvents(tx, row.id);
  const openers = await openersSinceLastCollection(tx, { collectionId: row.collection_id, machineId: row.machine_id, knownAt: now });
  const [keyCheck] = await readChecks(tx, { collectionId: row.collection_id });
  return {
    flag: toFlag(row),
    history: events.map((event) => ({
      kind: event.kind,
      reasons: event.reasons,
      figures: toFigures(event.figures, row.currency),
      cause: event.cause,
      evidence: event.evidence,
      happenedAt: formatInstant(event.happened_at),
      happenedBy: event.happened_by,
    })),
    openers,
    keyCheck: keyCheck ?? null,
    withoutSecondPerson: row.made_alone,
  };
}
