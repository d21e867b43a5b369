/** For `ILIKE`: finds the text anywhere, and takes `%` and `_` as people type them. `null` filters nothing. */
export function containsPattern(search: string | undefined): string | null {
  return search === undefined ? null : `%${prefixPattern(search)}`;
}

/** For `ILIKE`: what begins with the text. */
export function prefixPattern(text: string): string {
  return `${text.replaceAll(/[\\%_]/g, String.raw`\$&`)}%`;
}

/** For `$n::uuid[] IS NULL OR site_id = ANY ($n)`: `null` filters nothing. */
export function sitesFilter(visible: 'every' | readonly string[]): readonly string[] | null {
  return visible === 'every' ? null : visible;
}
