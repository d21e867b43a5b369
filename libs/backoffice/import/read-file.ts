import { parse } from 'csv-parse';
import { Readable } from 'node:stream';
import { withoutApostrophe } from '../csv';

/** A line of the file: where it began, and its cells as they stand there. */
export type FileLine = { readonly lineNumber: number; readonly cells: readonly string[] };

export type Delimiter = ',' | ';';

/** Why a file cannot be read at all, with the line where that was noticed. */
export class UnreadableFile extends Error {
  constructor(
    readonly code: 'not-utf-8' | 'quotes-do-not-match' | 'line-too-long' | 'empty-file',
    readonly lineNumber: number,
  ) {
    super(`${code} at line ${lineNumber}`);
  }
}

/** No honest line of ours is longer; a file of one endless line must not fill the memory. */
const MAX_LINE_CHARACTERS = 4_000;
const DELIMITER_SAMPLE_BYTES = 4_096;

/** Whichever of comma and semicolon stands more often in the first line. */
export function detectDelimiter(sample: string): Delimiter {
  const firstLine = sample.split(/\r\n|\r|\n/, 1)[0] ?? '';
  return count(firstLine, ';') > count(firstLine, ',') ? ';' : ',';
}

/**
 * Streams the lines of a UTF-8 file with or without byte order mark, comma or semicolon, LF or CRLF, in constant memory and as many
 * at once as are read at once: a file has a million of them, and each turn of an iterator costs as much as reading a line.
 * The apostrophe that our own files put before what begins like a formula is taken off. Blank lines are passed over. Throws {@link UnreadableFile}.
 */
export async function* readLines(bytes: AsyncIterable<Uint8Array>, onDelimiter: (delimiter: Delimiter) => void): AsyncGenerator<readonly FileLine[]> {
  const text = decode(bytes)[Symbol.asyncIterator]();
  let sample = '';
  for (let next = await text.next(); !next.done; next = await text.next()) {
    sample += next.value;
    if (sample.length >= DELIMITER_SAMPLE_BYTES) break;
  }
  if (sample.trim() === '') throw new UnreadableFile('empty-file', 1);
  const delimiter = detectDelimiter(sample);
  onDelimiter(delimiter);

  const parser = parse({ delimiter, info: true, relax_column_count: true, skip_empty_lines: true, max_record_size: MAX_LINE_CHARACTERS });
  const source = Readable.from(prepend(sample, text));
  // An error of the source does not travel through pipe(): hand it on, or the reader would wait for ever.
  source.on('error', (error) => parser.destroy(error));
  source.pipe(parser);
  const toLine = lineReader();
  try {
    for await (const first of parser as AsyncIterable<ParsedLine>) {
      const lines = [toLine(first)];
      for (let next = parser.read() as ParsedLine | null; next !== null; next = parser.read() as ParsedLine | null) lines.push(toLine(next));
      yield lines;
    }
  } catch (error) {
    throw toUnreadable(error);
  } finally {
    source.destroy();
  }
}

type ParsedLine = { readonly record: readonly string[]; readonly info: { readonly lines: number } };

/** The parser counts to the line on which the last cell ends, and a line end of two characters within a cell twice; a line is named by where it begins. */
function lineReader(): (parsed: ParsedLine) => FileLine {
  let countedTwice = 0;
  return ({ record, info }) => {
    let endsWithin = 0;
    for (const cell of record) {
      if (!cell.includes('\n') && !cell.includes('\r')) continue;
      endsWithin += cell.match(/\r\n|\r|\n/g)?.length ?? 0;
      countedTwice += cell.match(/\r\n/g)?.length ?? 0;
    }
    return { lineNumber: info.lines - countedTwice - endsWithin, cells: record.map(withoutApostrophe) };
  };
}

async function* decode(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<string> {
  // Fatal: a replacement character would turn a name of another encoding into a wrong one. The decoder drops the mark.
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let line = 1;
  const next = (chunk?: Uint8Array): string => {
    let text: string;
    try {
      text = chunk === undefined ? decoder.decode() : decoder.decode(chunk, { stream: true });
    } catch {
      throw new UnreadableFile('not-utf-8', line);
    }
    // UTF-16 text is full of zero bytes, which UTF-8 allows.
    if (text.includes('\0')) throw new UnreadableFile('not-utf-8', line);
    line += count(text, '\n');
    return text;
  };
  for await (const chunk of bytes) yield next(chunk);
  yield next();
}

async function* prepend(first: string, rest: AsyncIterator<string>): AsyncGenerator<string> {
  yield first;
  for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value;
}

function toUnreadable(error: unknown): unknown {
  if (!(error instanceof Error) || !('code' in error)) return error;
  const lineNumber = 'lines' in error && typeof error.lines === 'number' ? error.lines : 1;
  if (error.code === 'CSV_MAX_RECORD_SIZE') return new UnreadableFile('line-too-long', lineNumber);
  const aboutQuotes = typeof error.code === 'string' && /QUOTE/.test(error.code);
  return aboutQuotes ? new UnreadableFile('quotes-do-not-match', lineNumber) : error;
}

function count(text: string, character: string): number {
  let found = 0;
  for (let at = text.indexOf(character); at !== -1; at = text.indexOf(character, at + 1)) found += 1;
  return found;
}
