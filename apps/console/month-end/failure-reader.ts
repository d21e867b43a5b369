import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';

const titles = Object.entries(words.problems).flatMap(([code, { title }]) => (title === undefined ? [] : [[code, title] as const]));

/** How failures are said: those of a close by words of their own, what a review is refused for as that refusal is titled. */
export const failureReader = { reasons: { ...Object.fromEntries(titles), ...words.monthEnd.failureOf } as Readonly<Record<string, string | undefined>>, day: (day: string) => formatDay(day, locale) };
