import type { KeyException } from '#contracts/key-exception';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectExceptions } from './key-exception.sql';

const cursorSchema = z.tuple([z.uuid()]);

/** Exceptions in the order in which they were granted, those that ended included. */
export async function listKeyExceptions(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<KeyException>>> {
  return perform(deps, caller, 'key-exception.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectExceptions(tx, { after: after?.[0] ?? null, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: (exception) => exception, keyOf: (exception) => [exception.id] }));
  });
}
