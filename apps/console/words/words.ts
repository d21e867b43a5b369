import { language, type Language } from './language';
import type { FirstWords, PageWords } from './shape';

export type Words = FirstWords & PageWords;

interface Catalogue {
  readonly first: () => Promise<FirstWords>;
  readonly pages: () => Promise<PageWords>;
}

/** A browser fetches the language that it speaks, and no other. */
export const catalogues: Readonly<Record<Language, Catalogue>> = {
  en: { first: async () => (await import('./en')).en, pages: async () => (await import('./en-pages')).enPages },
  de: { first: async () => (await import('./de')).de, pages: async () => (await import('./de-pages')).dePages },
  es: { first: async () => (await import('./es')).es, pages: async () => (await import('./es-pages')).esPages },
};

/**
 * Everything that the console says, in the language of the page. It is filled before anything reads it: the words of the first
 * screens before the script that draws them starts (main.tsx), those of a later screen before its script is asked for
 * (routes.tsx). So a file may take its words once, where it begins.
 */
export const words = {} as Words;

export async function fetchFirstWords(): Promise<void> {
  Object.assign(words, await catalogues[language].first());
}

let pageWords: Promise<void> | null = null;

/** Fetches the words of the later screens, once; what failed is tried again when it is asked for again. */
export function fetchPageWords(): Promise<void> {
  pageWords ??= catalogues[language].pages().then(
    (pages) => {
      Object.assign(words, pages);
    },
    (error: unknown) => {
      pageWords = null;
      throw error;
    },
  );
  return pageWords;
}
