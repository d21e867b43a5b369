import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { noCarries, type PeriodCarries } from '#domain/settlement/carries';
import { issuedLines } from '#domain/settlement/differences';
import type { EarlierPeriod } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import { readResult } from './stored';
import { readPastPeriods, readPastResults, type LateRow, type PastPeriodRow, type TargetRow } from './targets.sql';

/** What an agreement's numbered settlements said about the periods that must be settled again, oldest first. */
export type History = {
  /** What the period before the first of them left behind, as last settled. */
  readonly carriesIn: PeriodCarries;
  readonly periods: readonly { readonly row: PastPeriodRow; readonly issued: EarlierPeriod['issued'] }[];
};

/** The histories of those agreements in whose numbered periods something has changed. No queries when there are none. */
export async function readHistories(
  tx: TenantTransaction,
  batch: { targets: readonly TargetRow[]; late: ReadonlyMap<string, LateRow> },
): Promise<ReadonlyMap<string, History>> {
  const ranges = batch.targets.flatMap((target) => {
    const from = batch.late.get(target.agreement_id)?.first_changed_on ?? null;
    return from === null ? [] : [{ agreementId: target.agreement_id, from, before: target.starts_on }];
  });
  if (ranges.length === 0) return new Map();
  const periods = await readPastPeriods(tx, ranges);
  const results = (await readPastResults(tx, ranges)).map((row) => ({ agreementId: row.agreement_id, result: readResult(row.result) }));
  return new Map(
    ranges.map(({ agreementId }) => [
      agreementId,
      historyOf(
        periods.filter((row) => row.agreement_id === agreementId),
        results.filter((row) => row.agreementId === agreementId).map((row) => row.result),
      ),
    ]),
  );
}

function historyOf(rows: readonly PastPeriodRow[], results: readonly SettlementResult[]): History {
  const first = rows[0];
  if (first === undefined) throw new Error('a late change without its period');
  return {
    carriesIn: lastCarriesBefore(results, first.starts_on as LocalDate),
    periods: rows.map((row) => ({ row, issued: issuedLines(results, row.period_id) })),
  };
}

/**
 * What the last settled period before a day left behind. A later settlement that settled it again has the last word, and
 * results come oldest first.
 */
function lastCarriesBefore(results: readonly SettlementResult[], day: LocalDate): PeriodCarries {
  const before = results.flatMap((result) => result.periods).filter((period) => period.period.until <= day);
  const latestDay = before.reduce<LocalDate | undefined>((latest, { period }) => (latest === undefined || period.until > latest ? period.until : latest), undefined);
  return before.filter(({ period }) => period.until === latestDay).at(-1)?.carriesOut ?? noCarries;
}
