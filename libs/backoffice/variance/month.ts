import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { VarianceMonth, VarianceMonthQuery } from '#contracts/variance';
import { addDays, daysInMonth, localDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectFlags } from './flag.sql';
import { countFlags, selectTotals } from './month.sql';
import { toFlag } from './to-flag';

const SHOWN = 50;

/** The variances of a month: sums by tender, and the first flags. Four statements, whatever the number of counts. */
export async function readVarianceMonth(deps: Backoffice, caller: Caller, query: VarianceMonthQuery): Promise<Outcome<VarianceMonth>> {
  return perform<VarianceMonth>(deps, caller, 'variance.read', async (unit) => {
    const { tx } = unit;
    const from = localDate(`${query.month}-01`);
    const before = addDays(from, daysInMonth(Number(query.month.slice(0, 4)), Number(query.month.slice(5))));
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: query.siteId === undefined ? 'every' : [query.siteId] });
    const days = { from, before, siteId: query.siteId ?? null, notSites };
    const totals = await selectTotals(tx, days);
    const flags = await countFlags(tx, days);
    const first = await selectFlags(tx, { ...days, machineId: null, collectorId: null, state: null, after: null, limit: SHOWN });
    return done({
      month: query.month,
      totals: totals.map((row) => ({
        currency: row.currency,
        tender: row.tender,
        counts: row.counts,
        unknown: row.unknown,
        leftOut: row.left_out,
        outOfTolerance: row.out_of_tolerance,
        expected: moneyOf(row.expected_minor, row.currency),
        counted: moneyOf(row.counted_minor, row.currency),
        shortages: moneyOf(row.shortages_minor, row.currency),
        overages: moneyOf(row.overages_minor, row.currency),
      })),
      openFlags: flags.open,
      explainedFlags: flags.explained,
      flags: first.map(toFlag),
      withheldSites: notSites.length,
    });
  });
}
