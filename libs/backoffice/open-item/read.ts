import type { OpenItem, OpenItemListQuery } from '#contracts/open-item';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { onlyRow } from '../rows';
import { listOpenItemRows, readOpenItem } from './open-item.sql';
import { openItemBodies } from './to-open-item';

export function readOneOpenItem(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<OpenItem>> {
  return perform<OpenItem>(deps, caller, 'open-item.read', async ({ tx, refusal, visibleSites }) => {
    const row = await readOpenItem(tx, id);
    if (row === undefined) return refused('not-found');
    const ownSites = visibleSites() !== 'every';
    return refusal({ siteId: row.site_id }) ?? done(onlyRow(await openItemBodies(tx, [row], { ownSites })));
  });
}

/** What settlements left to be paid, the oldest first; a site manager meets their own sites' items. */
export function listOpenItems(deps: Backoffice, caller: Caller, query: OpenItemListQuery): Promise<Outcome<Page<OpenItem>>> {
  return perform<Page<OpenItem>>(deps, caller, 'open-item.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const sites = visibleSites();
    const rows = await listOpenItemRows(tx, {
      sites: sitesFilter(sites),
      agreementId: query.agreementId ?? null,
      siteId: query.siteId ?? null,
      partyId: query.partyId ?? null,
      settlementId: query.settlementId ?? null,
      unpaid: query.unpaid === undefined ? null : query.unpaid === 'yes',
      after: after === null ? null : { datedOn: after[0], id: after[1] },
      limit: query.limit + 1,
    });
    const page = toPage({ rows, limit: query.limit, item: (row) => row, keyOf: (row) => [row.dated_on, row.id] });
    return done({ items: await openItemBodies(tx, page.items, { ownSites: sites !== 'every' }), next: page.next });
  });
}
