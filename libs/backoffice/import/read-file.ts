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
 * at once as a piece of the file holds: a file has a million of them, and each turn of an iterator costs as much as reading a line.
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

  const cutter = new LineCutter(delimiter);
  yield cutter.cut(sample, false);
  for (let next = await text.next(); !next.done; next = await text.next()) yield cutter.cut(next.value, false);
  yield cutter.cut('', true);
}

const quoted = /"[^"]*(?:""[^"]*)*"/y;

/**
 * Cuts text into lines and cells as RFC 4180 has them; a cell in quotes may hold line ends. What is not whole yet waits for
 * the next piece. A parser of the packages costs two to forty times as much, most of it where lines have more or fewer cells than the first.
 */
class LineCutter {
  private rest = '';
  private lineNumber = 1;
  private readonly plain: RegExp;

  constructor(private readonly delimiter: Delimiter) {
    this.plain = new RegExp(`[^"${delimiter}\r\n]*`, 'y');
  }

  /** Lines that are whole with this piece; `isLast` when no other follows. */
  cut(piece: string, isLast: boolean): FileLine[] {
    const text = this.rest + piece;
    const lines: FileLine[] = [];
    let start = 0;
    while (start < text.length) {
      const line = this.lineAt(text, start, isLast);
      if ((line?.end ?? text.length) - start > MAX_LINE_CHARACTERS) throw new UnreadableFile('line-too-long', this.lineNumber);
      if (line === null) break;
      if (line.end > start) lines.push({ lineNumber: this.lineNumber, cells: line.cells });
      this.lineNumber += 1 + line.endsWithin;
      start = line.next;
    }
    this.rest = text.slice(start);
    return lines;
  }

  /** The line that begins there, how many line ends its cells hold, and where the next begins; null if it may go on in the next piece. */
  private lineAt(text: string, start: number, isLast: boolean): { readonly cells: string[]; readonly endsWithin: number; readonly end: number; readonly next: number } | null {
    const cells: string[] = [];
    let endsWithin = 0;
    for (let at = start; ; at += 1) {
      const isQuoted = text[at] === '"';
      const pattern = isQuoted ? quoted : this.plain;
      pattern.lastIndex = at;
      // Not exec(): what it answers is thrown away for every cell.
      if (!pattern.test(text)) {
        if (isLast) throw new UnreadableFile('quotes-do-not-match', this.lineNumber);
        return null;
      }
      const cell = isQuoted ? text.slice(at + 1, pattern.lastIndex - 1).replaceAll('""', '"') : text.slice(at, pattern.lastIndex);
      at = pattern.lastIndex;
      // The next piece may begin with the second of two quotes, or with the line feed after a carriage return.
      if (!isLast && (at === text.length || (at + 1 === text.length && text[at] === '\r'))) return null;
      cells.push(withoutApostrophe(cell));
      if (isQuoted) endsWithin += lineEndsIn(cell);
      if (text[at] === this.delimiter) continue;
      const ends = at === text.length ? 0 : text.startsWith('\r\n', at) ? 2 : text[at] === '\n' || text[at] === '\r' ? 1 : null;
      if (ends === null) throw new UnreadableFile('quotes-do-not-match', this.lineNumber);
      return { cells, endsWithin, end: at, next: at + ends };
    }
  }
}

function lineEndsIn(text: string): number {
  return text.match(/\r\n|\r|\n/g)?.length ?? 0;
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

function count(text: string, character: string): number {
  let found = 0;
  for (let at = text.indexOf(character); at !== -1; at = text.indexOf(character, at + 1)) found += 1;
  return found;
}
