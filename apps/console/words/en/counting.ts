import { countingIn } from '../counting';

export const language = 'en';
export const { number, count, noun } = countingIn(language);

/** `17 of 2,000 sites`, for a list that is narrowed */
export function countOf({ shown, all }: { shown: number; all: number }, one: string, many: string): string {
  return shown === all ? count(all, one, many) : `${number.format(shown)} of ${count(all, one, many)}`;
}
