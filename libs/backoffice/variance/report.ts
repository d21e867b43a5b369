import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { VarianceReport, VarianceReportQuery } from '#contracts/variance-report';
import { formatMinor } from '#domain/money/amount';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { csvTable, type CsvRow } from '../csv';
import { perform } from '../perform';
import { selectReport, type ReportRow } from './report.sql';

const SHOWN = 1000;

/** What was short and what was over by machine, site, collector or month. Two statements, whatever the number of counts. */
export async function readVarianceReport(deps: Backoffice, caller: Caller, query: VarianceReportQuery): Promise<Outcome<VarianceReport>> {
  return perform<VarianceReport>(deps, caller, 'variance-report.read', async (unit) => {
    const { tx } = unit;
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: 'every' });
    const rows = await selectReport(tx, { ...query, notSites, limit: SHOWN + 1 });
    const { by, from, to, tender = null } = query;
    return done({ by, from, to, tender, rows: rows.slice(0, SHOWN).map(toRow), hasMore: rows.length > SHOWN, withheldSites: notSites.length });
  });
}

/** Columns of the report (RFC 4180). Amounts are strict decimals with a point. */
const columns = ['by', 'code', 'name', 'currency', 'counts', 'out_of_tolerance', 'left_out', 'expected', 'counted', 'shortages', 'overages', 'open_flags', 'explained_flags', 'counters_apart', 'tender', 'several_collectors'] as const;
const numbers = columns.slice(4, -2);

/** All rows of the report as CSV. */
export async function exportVarianceReport(deps: Backoffice, caller: Caller, query: VarianceReportQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'variance-report.read', async (unit) => {
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: 'every' });
    const rows = await selectReport(unit.tx, { ...query, notSites, limit: null });
    return done({ bytes: Buffer.from(csvTable({ columns, numbers }, rows.map((row) => toLine(query, row)))), fileName: `variances-by-${query.by}${query.tender === undefined ? '' : `-${query.tender}`}-${query.from}-to-${query.to}.csv` });
  });
}

function toRow(row: ReportRow): VarianceReport['rows'][number] {
  return {
    id: row.id,
    several: row.several,
    code: row.code,
    name: row.name,
    currency: row.currency,
    counts: row.counts,
    outOfTolerance: row.out_of_tolerance,
    countersApart: row.counters_apart,
    leftOut: row.left_out,
    expected: moneyOf(row.expected_minor, row.currency),
    counted: moneyOf(row.counted_minor, row.currency),
    shortages: moneyOf(row.shortages_minor, row.currency),
    overages: moneyOf(row.overages_minor, row.currency),
    openFlags: row.open_flags,
    explainedFlags: row.explained_flags,
  };
}

function toLine({ by, tender }: VarianceReportQuery, row: ReportRow): CsvRow<(typeof columns)[number]> {
  const amount = (minor: bigint): string => formatMinor(minor, row.currency);
  return {
    by,
    code: row.code,
    name: row.name,
    tender: tender ?? 'all',
    several_collectors: row.several ? 'yes' : 'no',
    currency: row.currency,
    counts: row.counts,
    out_of_tolerance: row.out_of_tolerance,
    counters_apart: row.counters_apart,
    left_out: row.left_out,
    expected: amount(row.expected_minor),
    counted: amount(row.counted_minor),
    shortages: amount(row.shortages_minor),
    overages: amount(row.overages_minor),
    open_flags: row.open_flags,
    explained_flags: row.explained_flags,
  };
}
