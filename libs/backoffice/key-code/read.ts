import type { KeyCode, KeyCodeListQuery } from '#contracts/key-code';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectKeyCode, selectKeyCodes } from './key-code.sql';

/** One cut of keys. */
export async function readKeyCode(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<KeyCode>> {
  return perform(deps, caller, 'key-code.read', async ({ tx }) => {
    const key = await selectKeyCode(tx, query.id);
    return key === null ? refused('not-found') : done(key);
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Cuts of keys by name. */
export async function listKeyCodes(deps: Backoffice, caller: Caller, query: KeyCodeListQuery): Promise<Outcome<Page<KeyCode>>> {
  return perform(deps, caller, 'key-code.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectKeyCodes(tx, { after: after?.[0] ?? null, limit: query.limit, class: query.class ?? null });
    return done(toPage({ rows, limit: query.limit, item: (key) => key, keyOf: (key) => [key.code] }));
  });
}
