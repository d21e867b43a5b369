import type { KeyStore } from '#contracts/key-store';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectStore, selectStores } from './key-store.sql';

export async function readKeyStore(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<KeyStore>> {
  return perform(deps, caller, 'key-store.read', async ({ tx, now }) => {
    const store = await selectStore(tx, { id, now });
    return store === null ? refused('not-found') : done(store);
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Stores by code, with whoever answers for them at present. */
export async function listKeyStores(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<KeyStore>>> {
  return perform(deps, caller, 'key-store.read', async ({ tx, now }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectStores(tx, { now, after: after?.[0] ?? null, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: (store) => store, keyOf: (store) => [store.code] }));
  });
}
