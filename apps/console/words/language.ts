/** The languages that the console speaks, each by its own name. */
export const languageNames = { en: 'English', de: 'Deutsch', es: 'Español' } as const;

export type Language = keyof typeof languageNames;

export const languages = Object.keys(languageNames).filter(isLanguage);

const KEPT = 'latchledger-language';

/** Which language to speak: the one that was chosen in this browser, else the first that the reader's browser asks for. */
export function languageFor({ chosen, wanted }: { readonly chosen: string | null; readonly wanted: readonly string[] }): Language {
  return [...(chosen === null ? [] : [chosen]), ...wanted].map((tag) => tag.toLowerCase().split('-')[0] ?? '').find(isLanguage) ?? 'en';
}

/** The language of this page. It stays the same until the page is loaded again. */
export const language: Language = languageFor({ chosen: keptLanguage(), wanted: typeof navigator === 'undefined' ? [] : navigator.languages });

/** Speaks another language from now on. The page is loaded again: its words are read while its code starts. */
export function speak(chosen: Language): void {
  keep(chosen);
  window.location.reload();
}

/** Speaks the language that is kept with an account, where the page does not yet. */
export function speakAs(account: { readonly language?: Language | null }): void {
  const { language: chosen = null } = account;
  if (chosen === null || chosen === language) return;
  keep(chosen);
  // Where the browser keeps nothing, loading the page again and again would help nobody.
  if (keptLanguage() === chosen) window.location.reload();
}

function keep(chosen: Language): void {
  try {
    window.localStorage.setItem(KEPT, chosen);
  } catch {
    // Where the browser keeps nothing, the address of the page cannot help either: it goes on in the browser's language.
  }
}

function keptLanguage(): string | null {
  try {
    return window.localStorage.getItem(KEPT);
  } catch {
    return null;
  }
}

function isLanguage(tag: string): tag is Language {
  return Object.hasOwn(languageNames, tag);
}
