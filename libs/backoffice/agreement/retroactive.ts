import { dayInWords } from '#contracts/day-in-words';
import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { insertLateChanges, selectSettledPeriods, type LateCause } from './late-change.sql';
import { sharePeriodsReaching } from './period.sql';

export type RetroactiveChange = {
  /** Agreements that the change touches. */
  readonly agreementIds: readonly string[];
  /** First day on which it makes a difference. */
  readonly from: LocalDate;
  /** First day on which it makes none any more, or null. */
  readonly before: LocalDate | null;
  readonly cause: LateCause;
  readonly sourceId: string;
  readonly reason: string | undefined;
  readonly confirmRetroactive: boolean;
  readonly now: Date;
};

/**
 * Notes a change of terms or tax for every settled period that it reaches into. It answers what is missing when the caller
 * has not said that this is meant: nobody changes settled months without knowing. Holds the locks of the agreements'
 * periods from then on, so that none of them is numbered in between.
 */
export async function noteRetroactive(tx: TenantTransaction, change: RetroactiveChange): Promise<WrongField[]> {
  const { agreementIds, from, before } = change;
  await sharePeriodsReaching(tx, { ids: agreementIds, from });
  const settled = await selectSettledPeriods(tx, { agreementIds, from, before });
  const [first] = settled;
  if (first === undefined) return [];
  const wrong: WrongField[] = [];
  if (!change.confirmRetroactive) {
    wrong.push({
      path: ['confirmRetroactive'],
      code: 'reaches-into-settled-periods',
      message: `Settled periods from ${dayInWords(first.starts_on)} on would be settled again, by difference (${settled.length}). Confirm that this is meant.`,
    });
  }
  if (change.reason === undefined) {
    wrong.push({ path: ['reason'], code: 'missing', message: 'A change that reaches into settled periods needs a reason.' });
  }
  if (wrong.length > 0) return wrong;
  const sources = settled.map((period) => ({ sourceId: change.sourceId, periodId: period.id }));
  await insertLateChanges(tx, { cause: change.cause, sources, now: change.now });
  return [];
}
