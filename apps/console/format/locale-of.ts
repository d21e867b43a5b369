/**
 * The reader's own variety of a language that texts are in: someone who reads English in Ireland gets Irish dates
 * and figures, and nobody gets a German month inside an English sentence.
 */
export function localeOf(language: string): string {
  // A process without a reader has the language alone; it has no types of a browser either.
  const { languages = [] } = (Reflect.get(globalThis, 'navigator') ?? {}) as { readonly languages?: readonly string[] };
  return languages.find((each) => each.split('-')[0] === language) ?? language;
}
