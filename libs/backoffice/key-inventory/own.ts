import { formatInstant } from '#contracts/format';
import { done, type Outcome } from '#contracts/outcome';
import type { OwnInventories } from '#contracts/own-keys';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeptBy } from '../key-question/person-keys.sql';
import { toWhereabouts } from '../key-question/whereabouts.sql';
import { perform } from '../perform';
import { selectOwnInventoried, type OwnRow } from './own.sql';

type Item = OwnInventories['items'][number];

/**
 * Open counts, with what each asks for of the keys that the caller holds or may speak for: what they can attest. What lies
 * in a store is seen there by somebody else, and is not among it.
 */
export async function listOwnInventories(deps: Backoffice, caller: Caller): Promise<Outcome<OwnInventories>> {
  return perform(deps, caller, 'own-keys.read', async ({ tx, now, visibleSites }) => {
    const sites = visibleSites();
    const personId = caller.kind === 'user' ? caller.personId : null;
    if (personId === null) return done({ items: [] });
    const places = (await selectKeptBy(tx, { personId, at: now, knownAt: now })).filter(({ as }) => as !== 'custodian');
    const rows = await selectOwnInventoried(tx, { holderIds: [...new Set([personId, ...places.map(({ holder_id: id }) => id)])] });
    const seen = rows.filter(({ holder_site_id: siteId }) => sites === 'every' || siteId === null || sites.includes(siteId));
    return done({ items: byInventory(seen) });
  });
}

function byInventory(rows: readonly OwnRow[]): Item[] {
  const items = new Map<string, Item>();
  for (const row of rows) {
    const item = items.get(row.inventory_id) ?? { id: row.inventory_id, cause: row.cause, reason: row.reason, openedAt: formatInstant(row.opened_at), copies: [] };
    const { holder } = toWhereabouts(row);
    if (holder !== null) item.copies.push({ keyCopyId: row.key_copy_id, number: row.number, code: row.code, class: row.class, holder, counted: row.counted });
    items.set(item.id, item);
  }
  return [...items.values()];
}
