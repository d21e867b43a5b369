import type { ApiToken } from '#contracts/api-token';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectApiTokens } from './api-token.sql';
import { toApiToken } from './to-api-token';

const cursorSchema = z.tuple([z.string(), z.uuid()]);

/** The operator's API tokens by name, revoked and expired ones included. */
export async function listApiTokens(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<ApiToken>>> {
  return perform(deps, caller, 'api-token.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectApiTokens(tx, { after, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: toApiToken, keyOf: (row) => [row.name, row.id] }));
  });
}
