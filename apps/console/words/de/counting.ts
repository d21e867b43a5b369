import { countingIn } from '../counting';

export const language = 'de';
export const { number, count, noun } = countingIn(language);

/** `17 von 2.000 Standorten`, for a list that is narrowed; behind „von“ the noun stands in the dative. */
export function countOf({ shown, all }: { shown: number; all: number }, { one, many, ofMany = many }: { one: string; many: string; ofMany?: string }): string {
  return shown === all ? count(all, one, many) : `${number.format(shown)} von ${count(all, one, ofMany)}`;
}
