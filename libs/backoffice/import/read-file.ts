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
 * Streams the lines of a UTF-8 file with or without byte order mark, comma or semicolon, LF or CRLF, in constant memory. They
 * come in lots, as they are parsed: a file has a million of them, and each turn of an asynchronous iterator costs as much as reading a line.
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

  // Without the parser's own account of where it is, which takes it as long as reading: lines are counted here, blank ones too.
  const parser = parse({ delimiter, relax_column_count: true, max_record_size: MAX_LINE_CHARACTERS });
  const source = Readable.from(prepend(sample, text));
  // An error of the source does not travel through pipe(): hand it on, or the reader would wait for ever.
  source.on('error', (error) => parser.destroy(error));
  source.pipe(parser);
  const toLine = lineReader();
  try {
    for await (const first of parser as AsyncIterable<Cells>) {
      const lines: FileLine[] = [];
      for (let next: Cells | null = first; next !== null; next = parser.read() as Cells | null) {
        const line = toLine(next);
        if (!isBlank(next)) lines.push(line);
      }
      if (lines.length > 0) yield lines;
    }
  } catch (error) {
    throw toUnreadable(error);
  } finally {
    source.destroy();
  }
}

type Cells = readonly string[];

const isBlank = (cells: Cells): boolean => cells.length === 1 && cells[0] === '';

/** A line is named by where it begins; the next one begins after the line ends within its cells and its own. */
function lineReader(): (cells: Cells) => FileLine {
  let begins = 1;
  return (cells) => {
    const lineNumber = begins;
    begins += 1;
    for (const cell of cells) {
      if (cell.includes('\n') || cell.includes('\r')) begins += cell.match(LINE_END_WITHIN)?.length ?? 0;
    }
    return { lineNumber, cells: cells.map(withoutApostrophe) };
  };
}

/** Not a CR at the end: where only some lines end in CRLF, it is half of the line's own end. */
const LINE_END_WITHIN = /\r\n|\n|\r(?!$)/g;

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
