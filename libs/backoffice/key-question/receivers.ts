import { done, type Outcome } from '#contracts/outcome';
import type { KeyReceivers } from '#contracts/own-keys';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectReceivers } from './receivers.sql';

/** Who at the caller's sites may be handed a key there: names and codes, nothing else about people. */
export async function listReceivers(deps: Backoffice, caller: Caller): Promise<Outcome<KeyReceivers>> {
  return perform(deps, caller, 'own-keys.read', async ({ tx, now, visibleSites }) => {
    const sites = visibleSites();
    return done({ items: await selectReceivers(tx, { siteIds: sites === 'every' ? null : sites, now }) });
  });
}
