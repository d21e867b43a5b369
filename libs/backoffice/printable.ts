import type { WrongField } from '#contracts/outcome';
import { uncoveredCharacters } from '#statement/page/fonts';

/**
 * Texts that would not come out whole on a statement: its font has no such letters, and they would vanish from the page
 * without a word. Fields that are left out of a change have nothing to check.
 */
export function unprintable(fields: { readonly [field: string]: string | readonly string[] | undefined }): WrongField[] {
  return Object.entries(fields).flatMap(([field, value]) => {
    if (value === undefined) return [];
    if (typeof value === 'string') return wrongText([field], value);
    return value.flatMap((line, index) => wrongText([field, index], line));
  });
}

function wrongText(path: WrongField['path'], text: string): WrongField[] {
  const missing = uncoveredCharacters(text);
  if (missing.length === 0) return [];
  const named = missing.map((character) => `${character} (U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')})`);
  return [{ path, code: 'not-printable', message: `A statement cannot print ${named.join(', ')}: write it in Latin, Greek or Cyrillic letters.` }];
}
