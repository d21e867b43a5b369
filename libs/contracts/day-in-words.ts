/** Days in sentences, as people write them. Fields of the API keep ISO 8601. */
const months = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

const days = /(?<![\w-])\d{4}-\d{2}-\d{2}(?![\w-])/g;

/** `2026-10-31` is 31 October 2026; what is no day stays as it is. */
export function dayInWords(day: string): string {
  const [, year, month, date] = /^(\d{4})-(\d{2})-(\d{2})$/.exec(day) ?? [];
  const name = months[Number(month) - 1];
  return year === undefined || name === undefined ? day : `${Number(date)} ${name} ${year}`;
}

/** The days of a sentence written out. Instants, which name an hour, and ids with digits that look alike, stay. */
export function daysInWords(sentence: string): string {
  return sentence.replace(days, dayInWords);
}

/** The days that a sentence names, ISO 8601. */
export function daysOf(sentence: string): readonly string[] {
  return sentence.match(days) ?? [];
}
