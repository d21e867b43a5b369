/**
 * Dates as people at the site write them, without time or zone. Instants never reach the domain: who records an
 * event decides its local date once, and from then on it is text like 2026-02-28.
 *
 * Arithmetic runs on day numbers (days since 1970-01-01 in the proleptic Gregorian calendar), which are plain
 * integers, so that no clock and no time zone rule can change a result years later.
 */

declare const localDateBrand: unique symbol;

/** ISO 8601 calendar date `YYYY-MM-DD` that exists in the calendar, years 1900 to 2199. */
export type LocalDate = string & { readonly [localDateBrand]: 'LocalDate' };

/** Days since 1970-01-01 (which is 0). */
export type DayNumber = number;

export interface YearMonthDay {
  readonly year: number;
  /** 1 to 12 */
  readonly month: number;
  /** 1 to 31 */
  readonly day: number;
}

const shape = /^(19|20|21)\d\d-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/;

export function isLocalDate(text: string): text is LocalDate {
  if (!shape.test(text)) return false;
  const parts = splitDate(text);
  return parts.day <= daysInMonth(parts.year, parts.month);
}

/** For text that was checked before or stands in a program: throws on anything that is not a local date. */
export function localDate(text: string): LocalDate {
  if (!isLocalDate(text)) throw new Error(`Not a local date: ${text}`);
  return text;
}

export function isLeapYear(year: number): boolean {
  return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
}

/** Length of a month; `month` 1 to 12. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

export function daysInYear(year: number): number {
  return isLeapYear(year) ? 366 : 365;
}

/**
 * Day number of a local date. The year is counted from March, so that the leap day is the last day of its year and
 * month lengths follow one linear formula; 400 years always have 146,097 days.
 */
export function toDayNumber(date: LocalDate): DayNumber {
  return dayNumberOf(splitDate(date));
}

/** Day number of a year, month and day that exist. */
export function dayNumberOf({ year, month, day }: YearMonthDay): DayNumber {
  const marchYear = month > 2 ? year : year - 1;
  const marchMonth = month > 2 ? month - 3 : month + 9;
  const leapDays = Math.floor(marchYear / 4) - Math.floor(marchYear / 100) + Math.floor(marchYear / 400);
  const dayOfMarchYear = Math.floor((153 * marchMonth + 2) / 5) + day - 1;
  return 365 * marchYear + leapDays + dayOfMarchYear - daysBefore1970;
}

/** Days from 1 March of year 0 to 1 January 1970. */
const daysBefore1970 = 719_468;

export function yearMonthDayOf(dayNumber: DayNumber): YearMonthDay {
  const shifted = dayNumber + daysBefore1970;
  const era = Math.floor(shifted / 146_097);
  const dayOfEra = shifted - era * 146_097;
  const yearOfEra = Math.floor((dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36_524) - Math.floor(dayOfEra / 146_096)) / 365);
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const marchMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * marchMonth + 2) / 5) + 1;
  const month = marchMonth < 10 ? marchMonth + 3 : marchMonth - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  return { year, month, day };
}

export function fromDayNumber(dayNumber: DayNumber): LocalDate {
  const { year, month, day } = yearMonthDayOf(dayNumber);
  return localDate(`${year}-${twoDigits(month)}-${twoDigits(day)}`);
}

export function addDays(date: LocalDate, days: number): LocalDate {
  return fromDayNumber(toDayNumber(date) + days);
}

/** Day of the week as ISO 8601 counts: Monday 1 to Sunday 7. 1970-01-01 was a Thursday. */
export function weekdayOf(dayNumber: DayNumber): number {
  return ((((dayNumber + 3) % 7) + 7) % 7) + 1;
}

function splitDate(date: string): YearMonthDay {
  return { year: digits(date, 0, 4), month: digits(date, 5, 7), day: digits(date, 8, 10) };
}

/** Reads character codes instead of building substrings: the engine reads several dates per count. */
function digits(text: string, from: number, to: number): number {
  let value = 0;
  for (let index = from; index < to; index += 1) value = value * 10 + (text.charCodeAt(index) - 48);
  return value;
}

function twoDigits(value: number): string {
  return value < 10 ? `0${value}` : String(value);
}
