import type { CashlessListQuery, CashlessTaking } from '#contracts/cashless';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { listTakings } from './cashless.sql';
import { toCashless } from './to-cashless';

const cursorSchema = z.tuple([z.iso.date(), z.uuid()]);

/** Card takings with their corrections, the latest day first. */
export async function listCashless(deps: Backoffice, caller: Caller, query: CashlessListQuery): Promise<Outcome<Page<CashlessTaking>>> {
  return perform<Page<CashlessTaking>>(deps, caller, 'cashless.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const { siteId = null, machineId = null, from = null, before = null } = query;
    const rows = await listTakings(tx, { after, limit: query.limit + 1, siteId, machineId, from, before });
    return done(toPage({ rows, limit: query.limit, item: toCashless, keyOf: (row) => [row.local_date, row.id] }));
  });
}
