import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { checkReadings, type CheckedReading, type EnteredReading, type ReadingContext } from './check-readings';
import { checkNotRead, type EnteredNotRead } from './not-read';
import type { NewNotRead } from './not-read.sql';

type Entered = { readonly readings: readonly EnteredReading[]; readonly unread: readonly EnteredNotRead[] };

/** Ready to be written, or what is wrong. */
export type CheckedMeters = { readonly readings: CheckedReading[]; readonly notRead: NewNotRead[]; readonly wrong: WrongField[] };

/** What the meters of machines showed at one moment, and why others were not read. */
export async function checkMeters(tx: TenantTransaction, entered: Entered, context: Omit<ReadingContext, 'excused'>): Promise<CheckedMeters> {
  const { meters, at, newId } = context;
  const { readings, wrong } = await checkReadings(tx, entered.readings, { ...context, excused: entered.unread.map(({ meterId }) => meterId) });
  const { notRead, wrong: wrongNotRead } = checkNotRead(entered.unread, { meters, at, readMeterIds: entered.readings.map(({ meterId }) => meterId), newId });
  return { readings, notRead, wrong: [...wrong, ...wrongNotRead] };
}
