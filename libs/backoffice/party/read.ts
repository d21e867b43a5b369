import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Party, PartyListQuery } from '#contracts/party';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectParties, selectParty } from './party.sql';
import { toParty } from './to-party';

/** One party. */
export async function readParty(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Party>> {
  return perform(deps, caller, 'party.read', async ({ tx }) => {
    const row = await selectParty(tx, query.id);
    return row === null ? refused('not-found') : done(toParty(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Parties by code. */
export async function listParties(deps: Backoffice, caller: Caller, query: PartyListQuery): Promise<Outcome<Page<Party>>> {
  return perform(deps, caller, 'party.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectParties(tx, { after: after?.[0] ?? null, limit: query.limit, pattern: containsPattern(query.search) });
    return done(toPage({ rows, limit: query.limit, item: toParty, keyOf: (row) => [row.code] }));
  });
}
