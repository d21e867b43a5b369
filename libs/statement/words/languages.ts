/** The languages that statements are written in. */
import { de } from '#statement/words/de';
import { en } from '#statement/words/en';
import { es } from '#statement/words/es';
import type { Conventions, StatementLanguage, StatementWords } from '#statement/words/words';

const POINT: Conventions = { decimalMark: '.', groupMark: ',', dateOrder: 'day-month-year' };
const COMMA: Conventions = { decimalMark: ',', groupMark: '.', dateOrder: 'day-month-year' };
const COMMA_AND_SPACE: Conventions = { ...COMMA, groupMark: '\u00a0' };
const MONTH_FIRST: Conventions = { ...POINT, dateOrder: 'month-day-year' };
const SWISS: Conventions = { ...POINT, groupMark: '\u2019' };

interface Written {
  readonly words: StatementWords;
  readonly usual: Conventions;
  /** By region (ISO 3166, or UN M.49 for a continent), where it differs: as the Unicode CLDR has them. */
  readonly regions: Readonly<Record<string, Conventions>>;
}

const ENGLISH: Written = { words: en, usual: POINT, regions: { US: MONTH_FIRST, CA: MONTH_FIRST, PH: MONTH_FIRST, ZA: COMMA_AND_SPACE } };

const WRITTEN: Readonly<Record<WrittenLanguage, Written>> = {
  en: ENGLISH,
  de: { words: de, usual: COMMA, regions: { CH: SWISS, LI: SWISS } },
  es: {
    words: es,
    usual: COMMA,
    regions: {
      ...Object.fromEntries(['419', 'CU', 'DO', 'GT', 'HN', 'MX', 'NI', 'PA', 'PE', 'PR', 'SV', 'US'].map((region) => [region, POINT])),
      CR: COMMA_AND_SPACE,
    },
  },
};

/** The languages that we write. */
export const writtenLanguages = ['en', 'de', 'es'] as const;
export type WrittenLanguage = (typeof writtenLanguages)[number];

/** Whether there are words of this language, whatever its region. */
export function isWritten(locale: string): boolean {
  return writtenLanguages.some((each) => each === primaryLanguage(locale));
}

/** The language without its region; English where none was asked for or there are no words of it. */
export function writtenLanguage(locale: string | undefined): WrittenLanguage {
  return writtenLanguages.find((each) => each === primaryLanguage(locale ?? '')) ?? 'en';
}

/** `de` of `de-AT`. */
export const primaryLanguage = (locale: string): string => locale.split('-')[0]?.toLowerCase() ?? '';

/** Words and conventions of a BCP 47 locale; a language without words of its own is written in English. */
export function languageOf(locale: string): StatementLanguage {
  const [, ...subtags] = locale.split('-');
  if (!isWritten(locale)) return { tag: 'en', words: ENGLISH.words, conventions: ENGLISH.usual };
  const written = WRITTEN[writtenLanguage(locale)];
  const region = subtags.find((subtag) => /^([A-Z]{2}|\d{3})$/.test(subtag)) ?? '';
  return { tag: locale, words: written.words, conventions: written.regions[region] ?? written.usual };
}
