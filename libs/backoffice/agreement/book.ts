import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { insertLateChanges, type LateCause } from './late-change.sql';
import { ensurePeriods } from './period';
import { sharePeriodsFrom } from './period.sql';

/** A record that belongs to the period of an agreement that its accounting date lies in. */
export type Booked = { readonly sourceId: string; readonly agreementId: string; readonly accountingDate: LocalDate };

/**
 * Writes records that settlements are computed from, under the locks of their periods and of the later ones: a close that
 * holds one of them finishes first. A period that is numbered already gets a late change, to be settled by difference.
 * The caller shares the locks of the agreements, and all accounting dates lie within them.
 */
export async function bookRecords(
  tx: TenantTransaction,
  booking: { readonly records: readonly Booked[]; readonly cause: LateCause; readonly now: Date; readonly newId: () => string; readonly write: () => Promise<void> },
): Promise<Outcome<null>> {
  const { records, cause, now } = booking;
  const periods = await ensurePeriods(tx, { days: records.map((record) => ({ agreementId: record.agreementId, date: record.accountingDate })), newId: booking.newId });
  const sources = records.flatMap(({ sourceId }, index) => {
    const period = periods[index];
    return period === null || period === undefined ? [] : [{ sourceId, periodId: period.id }];
  });
  if (sources.length < records.length) {
    const index = periods.findIndex((period) => period === null);
    return refused('no-agreement', { detail: `No terms are in force on ${records[index]?.accountingDate ?? ''}.` });
  }
  await sharePeriodsFrom(tx, [...new Set(sources.map(({ periodId }) => periodId))]);
  await booking.write();
  await insertLateChanges(tx, { cause, sources, now });
  return done(null);
}
