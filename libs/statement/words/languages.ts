/** The languages that statements are written in. */
import { en } from '#statement/words/en';
import type { Conventions, StatementLanguage } from '#statement/words/words';

const DAY_FIRST: Conventions = { decimalMark: '.', groupMark: ',', dateOrder: 'day-month-year' };

const LANGUAGES: Readonly<Record<string, StatementLanguage>> = {
  en: { words: en, conventions: DAY_FIRST },
  'en-US': { words: en, conventions: { ...DAY_FIRST, dateOrder: 'month-day-year' } },
};

/** Words and conventions of a BCP 47 locale: its own, else its language's, else English. */
export function languageOf(locale: string): StatementLanguage {
  const [language = 'en'] = locale.split('-');
  return LANGUAGES[locale] ?? LANGUAGES[language] ?? { words: en, conventions: DAY_FIRST };
}
