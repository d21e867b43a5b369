import { addDays, isLocalDate, type LocalDate } from '#domain/calendar/local-date';

/**
 * The calendar day at a place when something happened. An instant has exactly one: in the hour that the end of daylight
 * saving repeats, two instants share a wall-clock time, and where that hour spans midnight they may share a day or not,
 * which the time zone database knows and a bare wall-clock time does not.
 *
 * Years outside 1900 to 2199 give `null`: no visit happened there.
 */
export function localDay(input: { readonly instant: Date; readonly timeZone: string }): LocalDate | null {
  const parts = formatterOf(input.timeZone).formatToParts(input.instant);
  const numeric = (type: 'year' | 'month' | 'day') => parts.find((part) => part.type === type)?.value ?? '';
  const day = `${numeric('year').padStart(4, '0')}-${numeric('month')}-${numeric('day')}`;
  return isLocalDate(day) ? day : null;
}

/** A moment before a day begins, wherever: to the east of Greenwich that is before midnight there. */
export function beforeDay(day: LocalDate): Date {
  return new Date(`${addDays(day, -1)}T00:00:00Z`);
}

/** Making a formatter costs some fifty times what using one does, and an import asks tens of thousands of times. */
const formatters = new Map<string, Intl.DateTimeFormat>();

function formatterOf(timeZone: string): Intl.DateTimeFormat {
  const known = formatters.get(timeZone);
  if (known !== undefined) return known;
  const made = new Intl.DateTimeFormat('en-US', {
    timeZone,
    calendar: 'gregory',
    numberingSystem: 'latn',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  });
  formatters.set(timeZone, made);
  return made;
}
