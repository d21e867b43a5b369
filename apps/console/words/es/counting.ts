import { countingIn } from '../counting';

export const language = 'es';
export const { number, count, noun } = countingIn(language);

/** `17 de 2000 locales`, for a list that is narrowed */
export function countOf({ shown, all }: { shown: number; all: number }, one: string, many: string): string {
  return shown === all ? count(all, one, many) : `${number.format(shown)} de ${count(all, one, many)}`;
}
