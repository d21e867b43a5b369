import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { VarianceFlag } from '#contracts/variance';
import type { CurrencyCode } from '#domain/money/currency';
import type { FlagFigure, FlagRow } from './flag.sql';

export function toFlag(row: FlagRow): VarianceFlag {
  return {
    id: row.id,
    collectionId: row.collection_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    localDate: row.local_date,
    accountingDate: row.accounting_date,
    state: row.state,
    reasons: row.reasons,
    figures: toFigures(row.figures, row.currency),
    raisedAt: formatInstant(row.raised_at),
  };
}

export function toFigures(figures: readonly FlagFigure[], currency: CurrencyCode): VarianceFlag['figures'] {
  return figures.map(({ tender, expectedMinor, countedMinor, unknown = [] }) => ({ tender, ...showCompared({ expectedMinor: expectedMinor === null ? null : BigInt(expectedMinor), countedMinor: BigInt(countedMinor), currency }), unknown: [...unknown] }));
}

/** What was expected and counted; of what is not known there is no difference. */
export function showCompared({ expectedMinor, countedMinor, currency }: { readonly expectedMinor: bigint | null; readonly countedMinor: bigint; readonly currency: CurrencyCode }) {
  return {
    expected: expectedMinor === null ? null : moneyOf(expectedMinor, currency),
    counted: moneyOf(countedMinor, currency),
    variance: expectedMinor === null ? null : moneyOf(countedMinor - expectedMinor, currency),
  };
}
