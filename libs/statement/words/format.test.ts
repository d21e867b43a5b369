import { localDate } from '#domain/calendar/local-date';
import { formatAmount, formatCount, formatDate, formatDecimal, formatPeriod } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';

const british = languageOf('en-GB');
const american = languageOf('en-US');
const continental = languageOf('de-DE');

describe('amounts', () => {
  it.each([
    [0n, 'USD', '0.00'],
    [5n, 'USD', '0.05'],
    [-5n, 'USD', '−0.05'],
    [123_456_789n, 'USD', '1,234,567.89'],
    [-100_000n, 'EUR', '−1,000.00'],
    [1_234_567n, 'JPY', '1,234,567'],
    [0n, 'JPY', '0'],
    [1_234_567n, 'KWD', '1,234.567'],
    [7n, 'KWD', '0.007'],
    [900_719_925_474_099_312n, 'USD', '9,007,199,254,740,993.12'],
  ] as const)('%s %s is %s', (amountMinor, currency, text) => {
    expect(formatAmount(amountMinor, currency, american.conventions)).toBe(text);
  });

  it('follow the marks of the region', () => {
    expect(formatAmount(123_456_789n, 'EUR', continental.conventions)).toBe('1.234.567,89');
    expect(formatDecimal('33.3333', continental.conventions)).toBe('33,3333');
    expect(formatCount(18_204, continental.conventions)).toBe('18.204');
  });
});

describe('dates', () => {
  it('have the month in letters, in the order of the region', () => {
    expect(formatDate(localDate('2025-06-05'), british)).toBe('5 June 2025');
    expect(formatDate(localDate('2025-06-05'), american)).toBe('June 5, 2025');
  });

  it('name month and year once in a period within them', () => {
    expect(formatPeriod({ firstDay: localDate('2025-05-12'), lastDay: localDate('2025-06-08') }, british)).toBe('12 May – 8 June 2025');
    expect(formatPeriod({ firstDay: localDate('2025-05-12'), lastDay: localDate('2025-06-08') }, american)).toBe('May 12 – June 8, 2025');
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-31') }, british)).toBe('1 – 31 May 2025');
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-31') }, american)).toBe('May 1 – 31, 2025');
    expect(formatPeriod({ firstDay: localDate('2024-12-15'), lastDay: localDate('2025-01-11') }, american)).toBe('December 15, 2024 – January 11, 2025');
  });

  it('are single for a period of one day', () => {
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-01') }, british)).toBe('1 May 2025');
  });
});

it('a language without words yet is written in English, and says so', () => {
  expect(languageOf('fr-CA')).toMatchObject({ tag: 'en', words: { title: 'Settlement statement' } });
  expect(languageOf('en-NZ').conventions.dateOrder).toBe('day-month-year');
});

/** The name of a month as it stands within a date, which some write small there and large by itself. */
function monthWithin(locale: string, month: number): string {
  const parts = new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' }).formatToParts(Date.UTC(2025, month, 1));
  return parts.find(({ type }) => type === 'month')?.value ?? '';
}

/** The Unicode CLDR, as this Node brings it: it changes with Node, so it is asked in a test and not for a page. */
describe.each([
  'en-US', 'en-GB', 'en-CA', 'en-AU', 'en-NZ', 'en-IE', 'en-ZA', 'en-PH', 'de-DE', 'de-AT', 'de-CH', 'de-LI', 'es-ES', 'es-MX', 'es-US', 'es-PR', 'es-AR', 'es-CL',
  'es-CO', 'es-PE', 'es-419', 'es-GT', 'es-CR', 'es-DO', 'es-EC', 'es-UY', 'es-VE',
])('%s', (locale) => {
  it('is written as there', () => {
    const language = languageOf(locale);
    const said = new Intl.NumberFormat(locale, { style: 'currency', currency: 'EUR', currencyDisplay: 'code' }).format(1_234_567.89);
    const plain = (text: string): string => text.replace(/[\u202f\u00a0 ]/g, ' ').replaceAll("'", '\u2019');
    expect(plain(formatAmount(123_456_789n, 'EUR', language.conventions))).toBe(plain(said).replace('EUR', '').trim());
    const day = new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' }).format(Date.UTC(2025, 4, 31));
    expect(formatDate(localDate('2025-05-31'), language)).toBe(day);
    const months = language.words.months.map((_, month) => monthWithin(locale, month));
    // Austria says Jänner; a statement keeps to one word for all who read German. Peru writes setiembre beside septiembre.
    if (locale !== 'de-AT') expect(months.map((month) => month.replace('setiembre', 'septiembre'))).toEqual(language.words.months);
  });
});

it('a period in German and Spanish says month and year once', () => {
  const may = { firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-31') };
  expect(formatPeriod(may, languageOf('de-DE'))).toBe('1. – 31. Mai 2025');
  expect(formatPeriod(may, languageOf('es-MX'))).toBe('1 – 31 de mayo de 2025');
});
