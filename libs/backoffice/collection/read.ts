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
import { countsByRole, sealFor } from './blind';
import { selectCollection, selectCollections } from './collection.sql';
import { showCollection, tellsOfMeters, toSummary, withoutMetered } from './to-collection';

/** One collection with what was entered for it. A site manager meets those of their own site, once accepted. */
export async function readCollection(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Collection>> {
  return perform(deps, caller, 'collection.read', async (unit) => {
    const { tx, refusal } = unit;
    const row = await selectCollection(tx, query.id);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id });
    if (refusedHere !== null) return refusedHere;
    const collection = asSeenBy(caller, await showCollection(tx, row));
    // Only what meters imply tells what a box should hold: a collection without it is no look at that.
    const { sites, byRole, actors } = tellsOfMeters(row, collection) || isCounter(caller) ? await sealFor(unit, caller, { siteIds: [row.site_id] }) : unsealed;
    if (byRole && row.state !== 'open' && !(row.state !== 'accepted' && actors.includes(row.recorded_by))) {
      return refused('being-counted', { detail: 'A collection there is planned or being counted: what was counted before is shown when it is accepted.' });
    }
    return done(sites.length === 0 ? collection : withoutMetered(collection));
  });
}

const isCounter = (caller: Caller): boolean => caller.kind !== 'system' && countsByRole(caller.role);
const unsealed = { sites: [], byRole: false, actors: [] } as const;

/** What meters imply is no figure of the site's: where the terms go by it, the settlement says it. */
function asSeenBy(caller: Caller, collection: Collection): Collection {
  const isOfSite = caller.kind === 'user' && caller.role === 'site-manager';
  return { ...(isOfSite ? withoutMetered(collection) : collection), exposedByCaseIds: can(caller, 'key-case.read') ? collection.exposedByCaseIds : [] };
}

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);

/** Collections, the latest visit first. */
export async function listCollections(deps: Backoffice, caller: Caller, query: CollectionListQuery): Promise<Outcome<Page<CollectionSummary>>> {
  return perform(deps, caller, 'collection.read', async (unit) => {
    const { tx, visibleSites, visibleStates } = unit;
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const states = visibleStates();
    const sealed = isCounter(caller) ? await sealFor(unit, caller, { siteIds: 'every' }) : unsealed;
    const rows = await selectCollections(tx, {
      sealed,
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
