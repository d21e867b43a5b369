import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Site, SiteListQuery } from '#contracts/site';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern, sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectSite, selectSites } from './site.sql';
import { toSite } from './to-site';

/** One site. */
export async function readSite(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Site>> {
  return perform(deps, caller, 'site.read', async ({ tx, refusal }) => {
    const row = await selectSite(tx, query.id);
    if (row === null) return refused('not-found');
    return refusal({ siteId: row.id }) ?? done(toSite(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Sites by code. */
export async function listSites(deps: Backoffice, caller: Caller, query: SiteListQuery): Promise<Outcome<Page<Site>>> {
  return perform(deps, caller, 'site.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectSites(tx, {
      after: after?.[0] ?? null,
      limit: query.limit,
      pattern: containsPattern(query.search),
      openOn: query.openOn ?? null,
      taxAreaId: query.taxAreaId ?? null,
      siteIds: sitesFilter(visibleSites()),
    });
    return done(toPage({ rows, limit: query.limit, item: toSite, keyOf: (row) => [row.code] }));
  });
}
