/** What sentences of every language are put together with. */

/** A source behind a sentence; nothing where there is none. */
export function inBrackets(source: string): string {
  return source === '' ? '' : ` (${source})`;
}

/** The parts that there are, as one sentence; nothing where there is none. */
export function sentence(parts: readonly string[]): string | undefined {
  const text = parts.filter((part) => part !== '').join(', ');
  return text === '' ? undefined : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
