import fc from 'fast-check';
import { detectDelimiter, readLines, UnreadableFile, type FileLine } from './read-file';

async function* chunks(...parts: (string | Uint8Array)[]): AsyncGenerator<Uint8Array> {
  for (const part of parts) yield typeof part === 'string' ? new TextEncoder().encode(part) : part;
}

async function read(...parts: (string | Uint8Array)[]): Promise<{ lines: FileLine[]; delimiter: string }> {
  const lines: FileLine[] = [];
  let delimiter = '';
  for await (const piece of readLines(chunks(...parts), (found) => (delimiter = found))) lines.push(...piece);
  return { lines, delimiter };
}

async function failure(...parts: (string | Uint8Array)[]): Promise<UnreadableFile> {
  try {
    await read(...parts);
  } catch (error) {
    if (error instanceof UnreadableFile) return error;
    throw error;
  }
  throw new Error('the file was readable');
}

describe('reading a file of lines', () => {
  test('comma and semicolon are told apart by the first line', () => {
    expect(detectDelimiter('site;coin;note\n1,5;2,5;3')).toBe(';');
    expect(detectDelimiter('site,coin\nA;B,2')).toBe(',');
  });

  test('line numbers are those of the file, blank lines counted and passed over', async () => {
    const { lines } = await read('site,coin\r\n\r\nS-1,1.50\r\nS-2,2\r\n');
    expect(lines).toEqual([
      { lineNumber: 1, cells: ['site', 'coin'] },
      { lineNumber: 3, cells: ['S-1', '1.50'] },
      { lineNumber: 4, cells: ['S-2', '2'] },
    ]);
  });

  test('a byte order mark is no part of the first name', async () => {
    const { lines } = await read(new Uint8Array([0xef, 0xbb, 0xbf]), 'site;coin\nS-1;1\n');
    expect(lines[0]?.cells[0]).toBe('site');
  });

  test('a letter cut in two by the network arrives whole', async () => {
    const bytes = new TextEncoder().encode('site,coin\nKrüg,1\n');
    const cut = bytes.indexOf(0xc3) + 1;
    const { lines } = await read(bytes.slice(0, cut), bytes.slice(cut));
    expect(lines[1]?.cells[0]).toBe('Krüg');
  });

  test('a line is named by where it begins, although cells in quotes go over several', async () => {
    const { lines } = await read('site,note\r\nS-1,"two\r\nlines"\r\nS-2,"say ""no"", then"\r\nS-3,""');
    expect(lines.slice(1)).toEqual([
      { lineNumber: 2, cells: ['S-1', 'two\r\nlines'] },
      { lineNumber: 4, cells: ['S-2', 'say "no", then'] },
      { lineNumber: 5, cells: ['S-3', ''] },
    ]);
  });

  test('lines keep their numbers where only some end in CRLF, and behind blank ones', async () => {
    const { lines } = await read('site,coin\nS-1,1\r\nS-2,2\r\n\n\nS-3,3\n');
    expect(lines.map(({ lineNumber, cells }) => [lineNumber, cells[0]])).toEqual([[1, 'site'], [2, 'S-1'], [3, 'S-2'], [6, 'S-3']]);
  });

  // Pieces are cut anywhere, also within a quote or a line end.
  test('pieces, wherever they are cut, give the lines of the whole', async () => {
    const token = fc.constantFrom('a', 'é', ' ', ',', '"', '""', '"b"', ',"', '",', '\n', '"\n"');
    await fc.assert(
      fc.asyncProperty(fc.array(token, { minLength: 1, maxLength: 24 }), fc.constantFrom('\n', '\r\n'), fc.array(fc.nat(60), { maxLength: 4 }), async (tokens, lineEnd, cuts) => {
        const bytes = new TextEncoder().encode(`x${tokens.join('').replaceAll('\n', lineEnd)}`);
        const places = [0, ...cuts.filter((at) => at < bytes.length).sort((one, other) => one - other), bytes.length];
        const pieces = places.slice(1).map((end, index) => bytes.slice(places[index], end));
        expect(await read(...pieces).then(({ lines }) => lines, codeOf)).toEqual(await read(bytes).then(({ lines }) => lines, codeOf));
      }),
      { numRuns: 500 },
    );
  });

  test.each<[UnreadableFile['code'], number, (string | Uint8Array)[]]>([
    ['not-utf-8', 2, ['site,coin\nKr', new Uint8Array([0xfc, 0x67])]],
    ['not-utf-8', 1, [new Uint8Array([0x73, 0x00, 0x69, 0x00])]],
    ['empty-file', 1, ['', ' \n']],
    ['line-too-long', 2, ['site,coin\n', 'x'.repeat(70_000)]],
    ['quotes-do-not-match', 2, ['site,coin\n"S-1,1\nS-2,2\n']],
  ])('refuses what cannot be read: %s at line %i', async (code, lineNumber, parts) => {
    const refused = await failure(...parts);
    expect(refused.code).toBe(code);
    if (code !== 'quotes-do-not-match') expect(refused.lineNumber).toBe(lineNumber);
  });
});

const codeOf = (error: unknown): string => (error instanceof UnreadableFile ? error.code : String(error));
