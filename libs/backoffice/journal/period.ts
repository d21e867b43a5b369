import { dayInWords } from '#contracts/day-in-words';
import { formatInstant } from '#contracts/format';
import type { CloseJournal, JournalPeriods, ReopenJournal } from '#contracts/journal';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { addDays, daysInMonth, localDate, type LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readOperator } from '../settlement/number.sql';
import { insertPeriodEvent, lockJournal, readPeriodEvents, shareJournal } from './period.sql';

/**
 * Refuses a day that lies in a closed period of the journal, with the field that named it; null when entries of that day
 * may be posted. Nobody closes the journal until the transaction ends.
 */
export async function refusedWhenClosed(tx: TenantTransaction, asked: { day: LocalDate; path: WrongField['path']; instead?: string }): Promise<Outcome<never> | null> {
  const closedThrough = await shareJournal(tx);
  if (closedThrough === null || asked.day > closedThrough) return null;
  const message = `${closedWords({ day: asked.day, closedThrough })}${asked.instead === undefined ? '' : ` ${asked.instead}`}`;
  return refusedFields('journal-closed', [{ path: asked.path, code: 'journal-closed', message }]);
}

/** Why nothing can be booked to a day. */
export function closedWords(days: { day: LocalDate; closedThrough: LocalDate }): string {
  return `The journal is closed through ${dayInWords(days.closedThrough)}, and this would be booked to ${dayInWords(days.day)}.`;
}

/** Through which day the journal is closed, and every closing and reopening. */
export function readJournalPeriods(deps: Backoffice, caller: Caller): Promise<Outcome<JournalPeriods>> {
  return perform<JournalPeriods>(deps, caller, 'journal.read', async ({ tx, now }) => done(await periodsBody(tx, now)));
}

/** Closes the journal through the end of a month that is over. Nothing is posted into it from then on. */
export function closeJournal(deps: Backoffice, caller: Caller, command: CloseJournal): Promise<Outcome<JournalPeriods>> {
  return perform<JournalPeriods>(deps, caller, 'journal.close', async ({ tx, now }) => {
    await lockJournal(tx);
    const through = lastDayOf(command.month);
    const [last] = await readPeriodEvents(tx);
    if (through >= (await today(tx, now))) return wrongMonth('month-not-over', `The month goes on until ${through}.`);
    if (last !== undefined && last.closed_through !== null && through <= last.closed_through) {
      return wrongMonth('closed-already', `The journal is closed through ${last.closed_through} already.`);
    }
    await insertPeriodEvent(tx, { position: (last?.position ?? 0) + 1, kind: 'closed', closed_through: through, reason: command.reason, recorded_at: now });
    return done(await periodsBody(tx, now));
  });
}

/** Opens the journal from the first day of a month on. What lies before it stays closed. */
export function reopenJournal(deps: Backoffice, caller: Caller, command: ReopenJournal): Promise<Outcome<JournalPeriods>> {
  return perform<JournalPeriods>(deps, caller, 'journal.close', async ({ tx, now }) => {
    await lockJournal(tx);
    const first = localDate(`${command.month}-01`);
    const events = await readPeriodEvents(tx);
    const [last] = events;
    const closedThrough = last?.closed_through ?? null;
    if (last === undefined || closedThrough === null || first > closedThrough) return wrongMonth('not-closed', 'The journal is not closed in this month.');
    await insertPeriodEvent(tx, { position: last.position + 1, kind: 'reopened', closed_through: addDays(first, -1), reason: command.reason, recorded_at: now });
    return done(await periodsBody(tx, now));
  });
}

function wrongMonth(code: string, message: string): Outcome<never> {
  return refusedFields('invalid-command', [{ path: ['month'], code, message }]);
}

async function periodsBody(tx: TenantTransaction, now: Date): Promise<JournalPeriods> {
  const events = await readPeriodEvents(tx);
  const day = await today(tx, now);
  return {
    closedThrough: events[0]?.closed_through ?? null,
    lastMonth: addDays(localDate(`${day.slice(0, 7)}-01`), -1).slice(0, 7),
    events: events.map((event) => ({
      kind: event.kind,
      closedThrough: event.closed_through,
      reason: event.reason,
      happenedAt: formatInstant(event.recorded_at),
      happenedBy: event.recorded_by,
    })),
  };
}

async function today(tx: TenantTransaction, now: Date): Promise<LocalDate> {
  const day = localDay({ instant: now, timeZone: (await readOperator(tx)).time_zone });
  if (day === null) throw new Error('the clock is outside the calendar');
  return day;
}

function lastDayOf(month: string): LocalDate {
  const [year = 0, number = 0] = month.split('-').map(Number);
  return localDate(`${month}-${String(daysInMonth(year, number)).padStart(2, '0')}`);
}
