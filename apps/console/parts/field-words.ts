import type { FieldError } from '#contracts/problem';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words, type Words } from '../words/words';

/** A sentence of the console, or one of the api that is in English because the console has none of its own. */
export interface Said {
  readonly message: string;
  readonly isEnglish: boolean;
}

/**
 * What is wrong with a field in the language of the page, by its code, with the values that came with it. The api's own sentence
 * where the page speaks English, too, and where there are no words for the code.
 */
export function sayFieldError({ code, message, values = {} }: Pick<FieldError, 'code' | 'message' | 'values'>): Said {
  // The first screens stand before the words of the others have come.
  const template = (words as Partial<Words>).fieldErrors?.[code];
  return template === undefined ? { message, isEnglish: words.language !== 'en' } : { message: fill(template, values), isEnglish: false };
}

const days: ReadonlySet<string> = new Set(['day', 'until']);

/** Puts values into their places. What stands in brackets is said only if all of its values are known. */
export function fill(template: string, values: Readonly<Record<string, string>>): string {
  return template
    .replaceAll(/\[([^\]]*)\]/g, (_part, inner: string) => ([...inner.matchAll(/\{(\w+)\}/g)].every(([, name = '']) => values[name] !== undefined) ? inner : ''))
    .replaceAll(/\{(\w+)\}/g, (place, name: string) => {
      const value = values[name];
      return value === undefined ? place : days.has(name) ? formatDay(value, locale) : value;
    });
}
