import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Settlement, SettlementListQuery, SettlementRow } from '#contracts/settlement';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { settlementBody, settlementRowBody } from './body';
import { listSettlementRows, readSettlementRow } from './read.sql';
import { refusedWhileCounted, sitesSealed } from './sealed';

/** One settlement with every figure explained. A site manager meets their own sites' issued ones only. */
export function readSettlement(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Settlement>> {
  return perform<Settlement>(deps, caller, 'settlement.read', async (unit) => {
    const { tx, refusal, visibleSites } = unit;
    const ownSites = visibleSites() !== 'every';
    const row = await readSettlementRow(tx, id);
    if (row === undefined) return refused('not-found');
    const refusedHere = refusal({ siteId: row.site_id, state: row.state }) ?? (await refusedWhileCounted(unit, caller, row.site_id));
    return refusedHere ?? done(await settlementBody(tx, row, { ownSites, language: caller.language }));
  });
}

/** Settlements, the newest period first. No amounts of those whose lines the caller is not shown while they count. */
export function listSettlements(deps: Backoffice, caller: Caller, query: SettlementListQuery): Promise<Outcome<Page<SettlementRow>>> {
  return perform<Page<SettlementRow>>(deps, caller, 'settlement.read', async (unit) => {
    const { tx, visibleSites, visibleStates } = unit;
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.string().max(20), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await listSettlementRows(tx, {
      sites: sitesFilter(visibleSites()),
      states: sitesFilter(visibleStates()),
      startsOn: query.startsOn,
      siteId: query.siteId,
      state: query.state,
      question: query.question,
      after: after === null ? null : { startsOn: after[0], siteCode: after[1], id: after[2] },
      limit: query.limit + 1,
    });
    const sealed = await sitesSealed(unit, caller, [...new Set(rows.map((row) => row.site_id))]);
    return done(toPage({ rows, limit: query.limit, item: (row) => settlementRowBody(row, { isSealed: sealed.includes(row.site_id) }), keyOf: (row) => [row.starts_on, row.site_code, row.id] }));
  });
}
