import type { KeyRing } from '#contracts/key-ring';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectRing, selectRings } from './key-ring.sql';

export async function readKeyRing(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<KeyRing>> {
  return perform(deps, caller, 'key-ring.read', async ({ tx }) => {
    const ring = await selectRing(tx, id);
    return ring === null ? refused('not-found') : done(ring);
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Rings by code, with what hangs on them at present. */
export async function listKeyRings(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<KeyRing>>> {
  return perform(deps, caller, 'key-ring.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectRings(tx, { after: after?.[0] ?? null, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: (ring) => ring, keyOf: (ring) => [ring.code] }));
  });
}
