import type { Advance, AdvanceListQuery } from '#contracts/advance';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { onlyRow } from '../rows';
import { listAdvanceRows, readAdvance } from './advance.sql';
import { advanceBodies } from './to-advance';

export function readOneAdvance(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Advance>> {
  return perform<Advance>(deps, caller, 'advance.read', async ({ tx, refusal, visibleSites }) => {
    const row = await readAdvance(tx, id);
    if (row === undefined) return refused('not-found');
    const ownSites = visibleSites() !== 'every';
    return refusal({ siteId: row.site_id }) ?? done(onlyRow(await advanceBodies(tx, [row], { ownSites, on: null })));
  });
}

/** Advances, the newest first, as they are now or as the books had them at the end of a day. */
export function listAdvances(deps: Backoffice, caller: Caller, query: AdvanceListQuery): Promise<Outcome<Page<Advance>>> {
  return perform<Page<Advance>>(deps, caller, 'advance.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const sites = visibleSites();
    const { agreementId = null, siteId = null, partyId = null, state = null, on = null, limit } = query;
    const rows = await listAdvanceRows(tx, {
      sites: sitesFilter(sites),
      agreementId,
      siteId,
      partyId,
      state,
      on,
      after: after === null ? null : { givenOn: after[0], id: after[1] },
      limit: limit + 1,
    });
    const page = toPage({ rows, limit, item: (row) => row, keyOf: (row) => [row.given_on, row.id] });
    return done({ items: await advanceBodies(tx, page.items, { ownSites: sites !== 'every', on }), next: page.next });
  });
}
