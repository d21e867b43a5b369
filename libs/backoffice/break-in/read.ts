import type { BreakIn, BreakInListQuery } from '#contracts/break-in';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { listBreakInRows } from './break-in.sql';
import { toBreakIn } from './to-break-in';

const cursorSchema = z.tuple([z.iso.date(), z.uuid()]);

/** Break-ins with their corrections, the latest day first. */
export async function listBreakIns(deps: Backoffice, caller: Caller, query: BreakInListQuery): Promise<Outcome<Page<BreakIn>>> {
  return perform<Page<BreakIn>>(deps, caller, 'break-in.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const { siteId = null, machineId = null, from = null, before = null } = query;
    const rows = await listBreakInRows(tx, { after, limit: query.limit + 1, siteId, machineId, from, before });
    return done(toPage({ rows, limit: query.limit, item: toBreakIn, keyOf: (row) => [row.happened_on, row.id] }));
  });
}
