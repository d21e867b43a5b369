import { done, refused, type Outcome } from '#contracts/outcome';
import { readHeader, type Column, type Header } from './columns';
import type { FileLine, UnreadableFile } from './read-file';
import { headerWords, unreadableWords } from './words';

/** The columns of a file, by its first line. */
export function headerOf<Name extends string>(line: FileLine, columns: readonly Column<Name>[]): Outcome<Header<Name>> {
  const { header, problems } = readHeader(line.cells, columns);
  if (problems.length === 0) return done(header);
  return refused('file-not-readable', {
    detail: 'The first line does not hold the names of the columns.',
    errors: problems.map(({ column, code }) => ({ in: 'body', pointer: column, code, message: headerWords[code] })),
  });
}

/** Says at which line the file could not be read further, and why. */
export function refusedUnreadable({ lineNumber, code }: UnreadableFile): Outcome<never> {
  return refused('file-not-readable', { detail: `Line ${lineNumber}: ${unreadableWords[code]}` });
}
