import type { Collection, CollectionListQuery, CollectionSummary } from '#contracts/collection';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { can } from '#domain/permissions/can';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectCollection, selectCollections } from './collection.sql';
import { showCollection, toSummary } from './to-collection';

/** One collection with what was entered for it. A site manager meets those of their own site, once accepted. */
export async function readCollection(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Collection>> {
  return perform(deps, caller, 'collection.read', async ({ tx, refusal }) => {
    const row = await selectCollection(tx, query.id);
    if (row === null) return refused('not-found');
    return refusal({ state: row.state, siteId: row.site_id }) ?? done(asSeenBy(caller, await showCollection(tx, row)));
  });
}

function asSeenBy(caller: Caller, collection: Collection): Collection {
  return can(caller, 'key-case.read') ? collection : { ...collection, exposedByCaseIds: [] };
}

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);

/** Collections, the latest visit first. */
export async function listCollections(deps: Backoffice, caller: Caller, query: CollectionListQuery): Promise<Outcome<Page<CollectionSummary>>> {
  return perform(deps, caller, 'collection.read', async ({ tx, visibleSites, visibleStates }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const states = visibleStates();
    const rows = await selectCollections(tx, {
      after,
      limit: query.limit,
      siteId: query.siteId ?? null,
      state: query.state ?? null,
      from: query.from ?? null,
      before: query.before ?? null,
      importFileId: query.importFileId ?? null,
      siteIds: sitesFilter(visibleSites()),
      states: states === 'every' ? null : states,
    });
    return done(toPage({ rows, limit: query.limit, item: toSummary, keyOf: (row) => [formatInstant(row.happened_at), row.id] }));
  });
}
