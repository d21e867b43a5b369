import type { KeyPlace, KeyPlaceListQuery } from '#contracts/key-place';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectPlace, selectPlaces } from './key-place.sql';

export async function readKeyPlace(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<KeyPlace>> {
  return perform(deps, caller, 'key-place.read', async ({ tx, refusal }) => {
    const place = await selectPlace(tx, id);
    if (place === null) return refused('not-found');
    return refusal({ siteId: place.siteId }) ?? done(place);
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Hooks and key safes by code; a site manager sees those of their own sites. */
export async function listKeyPlaces(deps: Backoffice, caller: Caller, query: KeyPlaceListQuery): Promise<Outcome<Page<KeyPlace>>> {
  return perform(deps, caller, 'key-place.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const visible = visibleSites();
    const rows = await selectPlaces(tx, { after: after?.[0] ?? null, limit: query.limit, siteId: query.siteId ?? null, siteIds: visible === 'every' ? null : visible });
    return done(toPage({ rows, limit: query.limit, item: (place) => place, keyOf: (place) => [place.code] }));
  });
}
