import type { MetersRead, MetersReadAround } from '#contracts/meter';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { localDay } from '../collection/local-day';
import { momentOf } from '../moment';
import { checkMeters } from './check-meters';
import { selectMeters } from './meter.sql';
import { insertNotRead } from './not-read.sql';
import type { Occasion } from './reading.sql';
import type { ReadingTry } from './reading-try.sql';
import { writeReadings } from './write-readings';

/** What is written of the meters with what happened to their machine. */
export type AtOccasion = {
  readonly machineId: string;
  readonly occasion: Extract<Occasion, 'placement' | 'removal' | 'game-change' | 'in-service' | 'out-of-service'>;
  readonly read: MetersRead | MetersReadAround | undefined;
  /** What the request calls it. */
  readonly field: string;
  /** The day at the site on which they were read; or the moment. */
  readonly when: { readonly day: LocalDate; readonly timeZone: string } | Date;
  readonly tries: ReadingTry[];
  readonly now: Date;
  readonly newId: () => string;
};

/**
 * Writes what meters showed as their machine was placed, taken away, stopped or worked again, or its game was changed, or why they were not read. Of a
 * meter that is in neither list nothing is written, and it stays on the list of what is to be entered: what happened to the
 * machine has happened. The caller holds the machine.
 */
export async function writeAtOccasion(tx: TenantTransaction, of: AtOccasion): Promise<Outcome<null>> {
  const { machineId, occasion, read, field, tries, now, newId } = of;
  if (read === undefined) return done(null);
  const moment = momentOfReading(of, read);
  if (!moment.ok) return moment;
  const at = moment.value;
  const meters = await selectMeters(tx, [machineId]);
  const entered = {
    readings: read.readings.map((reading, index) => ({ ...reading, path: [field, 'readings', index] })),
    unread: read.unread.map((meter, index) => ({ ...meter, path: [field, 'unread', index] })),
  };
  const { readings, notRead, wrong } = await checkMeters(tx, entered, { meters, at, occasion, allAt: null, newId });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  await insertNotRead(tx, notRead, { occasion, collectionId: null, at, now });
  const doubtful = await writeReadings(tx, readings, { meters, occasion, collectionId: null, at, readBy: null, now, tries });
  return doubtful.length > 0 ? refusedFields('invalid-command', doubtful) : done(null);
}

function momentOfReading({ when, field, now }: AtOccasion, { readAt }: Pick<MetersRead, 'readAt'>): Outcome<Date> {
  if (when instanceof Date) return done(when);
  const refuse = (code: string, message: string): Outcome<never> => refusedFields('invalid-command', [{ path: [field, 'readAt'], code, message } satisfies WrongField]);
  const dayOf = (instant: Date): LocalDate | null => localDay({ instant, timeZone: when.timeZone });
  if (readAt === undefined) return dayOf(now) === when.day ? done(now) : refuse('missing', `Say at what time of ${when.day} they were read.`);
  const moment = momentOf(readAt, { now, field: 'readAt' });
  if (!moment.ok) return refuse('in-future', 'What has not happened yet is not recorded.');
  return dayOf(moment.value) === when.day ? moment : refuse('other-day', `They are read on the day itself, ${when.day} at the site.`);
}
