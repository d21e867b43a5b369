import type { ImportError } from '../api/shapes';

/** Of lines with the same error so many are named; the first is enough to find it in the file. */
export const linesShown = 5;

interface Alike {
  readonly error: ImportError;
  /** Numbers of the lines that have it, each once. */
  readonly lines: readonly number[];
}

/** Errors that read alike are one with all its lines, in the order of the first: a site that is unknown is so on each of its lines. */
export function alike(errors: readonly ImportError[]): readonly Alike[] {
  const found = new Map<string, { error: ImportError; lines: Set<number> }>();
  for (const error of errors) {
    const key = JSON.stringify([error.column, error.code, error.message, error.value]);
    const known = found.get(key);
    if (known === undefined) found.set(key, { error, lines: new Set([error.lineNumber]) });
    else known.lines.add(error.lineNumber);
  }
  return [...found.values()].map(({ error, lines }) => ({ error, lines: [...lines] }));
}
