/** Days, periods and instants as people read them. Days are calendar days of the site: no time zone touches them. */

export interface Period {
  readonly cycle?: string | undefined;
  /** First day, ISO 8601. */
  readonly startsOn: string;
  /** First day after it. */
  readonly endsBefore: string;
}

/** 31 October 2026 */
export function formatDay(day: string, locale: string): string {
  return new Intl.DateTimeFormat(locale, { dateStyle: 'long', timeZone: 'UTC' }).format(utc(day));
}

/** A calendar month by its name; any other stretch of days by its first and last day. */
export function formatPeriod(period: Period, locale: string): string {
  const first = utc(period.startsOn);
  const last = new Date(utc(period.endsBefore).getTime() - dayLengthMs);
  if (isCalendarMonth(period)) {
    return new Intl.DateTimeFormat(locale, { month: 'long', year: 'numeric', timeZone: 'UTC' }).format(first);
  }
  return new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeZone: 'UTC' }).formatRange(first, last);
}

/** The same where it begins a line: languages that write months small write them large there. */
export function formatPeriodAlone(period: Period, locale: string): string {
  const text = formatPeriod(period, locale);
  return text.charAt(0).toLocaleUpperCase(locale) + text.slice(1);
}

/** The calendar month that begins on a day, by its name; null on any day but the first, or where `alike` is no calendar month itself. */
export function formatMonthFrom(startsOn: string, alike: Period, locale: string): string | null {
  if (!isCalendarMonth(alike) || !startsOn.endsWith('-01')) return null;
  return formatPeriod({ startsOn, endsBefore: nextMonth(startsOn).toISOString().slice(0, 10) }, locale);
}

/** Short form where the year is clear from what stands around it. */
export function formatPeriodShort(period: Period, locale: string): string {
  if (!isCalendarMonth(period)) return formatPeriod(period, locale);
  return new Intl.DateTimeFormat(locale, { month: 'long', timeZone: 'UTC' }).format(utc(period.startsOn));
}

/** 3 November 2026, 14:05, in the reader's own time zone. */
export function formatInstant(instant: string, locale: string): string {
  return new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeStyle: 'short' }).format(new Date(instant));
}

/** The same by the clock of a place, with its zone where the reader's own clock shows something else; where nobody knows the place, by the reader's. */
export function formatInstantAt(instant: string, locale: string, timeZone: string | undefined): string {
  const own = formatInstant(instant, locale);
  if (timeZone === undefined) return own;
  const moment = new Date(instant);
  const there = new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeStyle: 'short', timeZone }).format(moment);
  if (there === own) return own;
  const zone = new Intl.DateTimeFormat(locale, { timeZone, timeZoneName: 'short' }).formatToParts(moment).find(({ type }) => type === 'timeZoneName')?.value;
  return `${there} ${zone ?? timeZone}`;
}

/** The reader's own calendar day, as ISO 8601. */
export function dayOf(instant: Date): string {
  const year = String(instant.getFullYear()).padStart(4, '0');
  const month = String(instant.getMonth() + 1).padStart(2, '0');
  return `${year}-${month}-${String(instant.getDate()).padStart(2, '0')}`;
}

/** Whether a text is a day that there is, as ISO 8601. */
export function isDay(text: string): boolean {
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text));
}

/** The calendar day of an instant where a time zone is kept, as ISO 8601. */
export function dayIn(instant: Date, timeZone: string): string {
  const parts = new Map(new Intl.DateTimeFormat('en', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' }).formatToParts(instant).map(({ type, value }) => [type, value]));
  return `${parts.get('year') ?? ''}-${parts.get('month') ?? ''}-${parts.get('day') ?? ''}`;
}

function isCalendarMonth({ startsOn, endsBefore }: Period): boolean {
  return utc(startsOn).getUTCDate() === 1 && nextMonth(startsOn).getTime() === utc(endsBefore).getTime();
}

function nextMonth(day: string): Date {
  const at = utc(day);
  return new Date(Date.UTC(at.getUTCFullYear(), at.getUTCMonth() + 1, 1));
}

const dayLengthMs = 86_400_000;

function utc(day: string): Date {
  return new Date(`${day}T00:00:00Z`);
}
