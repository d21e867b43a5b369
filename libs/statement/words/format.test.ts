import { localDate } from '#domain/calendar/local-date';
import { formatAmount, formatCount, formatDate, formatDecimal, formatPeriod } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';

const british = languageOf('en-GB');
const american = languageOf('en-US');
const continental = { ...british, conventions: { decimalMark: ',', groupMark: '.', dateOrder: 'day-month-year' } as const };

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

  it('name a year once in a period within it', () => {
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-31') }, british)).toBe('1 May – 31 May 2025');
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-31') }, american)).toBe('May 1 – May 31, 2025');
    expect(formatPeriod({ firstDay: localDate('2024-12-15'), lastDay: localDate('2025-01-11') }, american)).toBe('December 15, 2024 – January 11, 2025');
  });

  it('are single for a period of one day', () => {
    expect(formatPeriod({ firstDay: localDate('2025-05-01'), lastDay: localDate('2025-05-01') }, british)).toBe('1 May 2025');
  });
});

it('a language without words yet falls back to English with its conventions', () => {
  expect(languageOf('fr-CA').words.title).toBe('Settlement statement');
  expect(languageOf('en-NZ').conventions.dateOrder).toBe('day-month-year');
});
