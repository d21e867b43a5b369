import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';

const titles = Object.fromEntries(Object.entries(words.problems).map(([code, { title }]) => [code, title]));

/** How failures are said: those of a close by words of their own, what a review is refused for as that refusal is titled. */
export const failureReader = {
  language: words.language,
  reasons: words.monthEnd.failureOf as Readonly<Record<string, string | undefined>>,
  titles,
  day: (day: string) => formatDay(day, locale),
};
