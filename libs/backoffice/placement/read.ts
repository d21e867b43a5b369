import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Placement, PlacementListQuery } from '#contracts/placement';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectPlacement, selectPlacements } from './placement.sql';
import { toPlacement } from './to-placement';

/** One placement. */
export async function readPlacement(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Placement>> {
  return perform(deps, caller, 'placement.read', async ({ tx, refusal }) => {
    const row = await selectPlacement(tx, query.id);
    if (row === null) return refused('not-found');
    return refusal({ siteId: row.site_id }) ?? done(toPlacement(row));
  });
}

const cursorSchema = z.tuple([z.iso.date(), z.uuid()]);

/** Placements, the latest first. */
export async function listPlacements(deps: Backoffice, caller: Caller, query: PlacementListQuery): Promise<Outcome<Page<Placement>>> {
  return perform(deps, caller, 'placement.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectPlacements(tx, {
      after,
      limit: query.limit,
      machineId: query.machineId ?? null,
      siteId: query.siteId ?? null,
      on: query.on ?? null,
      siteIds: sitesFilter(visibleSites()),
    });
    return done(toPage({ rows, limit: query.limit, item: toPlacement, keyOf: (row) => [row.placed_on, row.id] }));
  });
}
