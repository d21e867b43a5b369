import { refused, done, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { VarianceFlag, VarianceFlagListQuery } from '#contracts/variance';
import { z } from 'zod';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectFlags } from './flag.sql';
import { toFlag } from './to-flag';

const cursorSchema = z.tuple([z.enum(['open', 'explained']), z.iso.date(), z.uuid()]);

/** All flags page by page, open ones first, then by day. Those of sites where the caller is counting are left out. */
export async function listFlags(deps: Backoffice, caller: Caller, query: VarianceFlagListQuery): Promise<Outcome<Page<VarianceFlag>>> {
  return perform<Page<VarianceFlag>>(deps, caller, 'variance.read', async (unit) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: query.siteId === undefined ? 'every' : [query.siteId] });
    const { from = null, before = null, siteId = null, machineId = null, collectorId = null, state = null, limit } = query;
    const rows = await selectFlags(unit.tx, { from, before, siteId, machineId, collectorId, state, notSites, after, limit: limit + 1 });
    return done(toPage({ rows, limit, item: toFlag, keyOf: (row) => [row.state, row.accounting_date, row.id] }));
  });
}
