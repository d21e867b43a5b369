import { refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { BEING_COUNTED, sealFor } from '../collection/blind';
import { selectSitesByMeters, selectWaitingSites } from '../collection/blind.sql';

type Asking = { readonly tx: TenantTransaction; readonly now: Date };

/**
 * Of these sites, those whose settlements the caller is not shown: their terms go by the meters, or once did, and a
 * collection there waits in which the caller has a hand. The lines say what meters counted, and so do the sums. Where it is shown to
 * somebody who may count there, that is on record as any other look.
 */
export async function sitesSealed(asking: Asking, caller: Caller, siteIds: readonly string[] | 'every'): Promise<readonly string[]> {
  const waiting = await selectWaitingSites(asking.tx, siteIds);
  const byMeters = waiting.length === 0 ? [] : await selectSitesByMeters(asking.tx, waiting);
  return byMeters.length === 0 ? [] : (await sealFor(asking, caller, { siteIds: byMeters })).sites;
}

/** Refuses to show a settlement of a site, or to do what would be answered with it. */
export async function refusedWhileCounted(asking: Asking, caller: Caller, siteId: string): Promise<Outcome<never> | null> {
  return (await sitesSealed(asking, caller, [siteId])).length === 0 ? null : refused('being-counted', { detail: BEING_COUNTED });
}
