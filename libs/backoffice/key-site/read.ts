import type { KeySite, KeySiteListQuery } from '#contracts/key-site';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectKeySites } from './key-site.sql';

const cursorSchema = z.tuple([z.string()]);

/** The sites that are open, by code, with how far their keys are set up. */
export async function listKeySites(deps: Backoffice, caller: Caller, query: KeySiteListQuery): Promise<Outcome<Page<KeySite>>> {
  return perform(deps, caller, 'key-site.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectKeySites(tx, { after: after?.[0] ?? null, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: (site) => site, keyOf: (site) => [site.siteCode] }));
  });
}
