import fc from 'fast-check';
import { Readable } from 'node:stream';
import { csvTable } from './csv';
import { readLines } from './import/read-file';

const table = { columns: ['text', 'amount'] as const, numbers: ['amount'] as const };

async function readBack(csv: string): Promise<string[][]> {
  const lines: string[][] = [];
  for await (const piece of readLines(Readable.from([Buffer.from(csv)]), () => undefined)) lines.push(...piece.map(({ cells }) => [...cells]));
  return lines.slice(1);
}

// OWASP, "CSV Injection": a cell that begins with = + - @, tab or carriage return may run as a formula.
test.each(['=1+1', '+1', '-1+2', '@SUM(A1)', '\t=1', '\r=1'])('text that begins like the formula %j is no formula in a spreadsheet', (text) => {
  const [, line = ''] = csvTable(table, [{ text, amount: '1.00' }]).split('\r\n');
  expect(line.replace(/^"/, '')).toMatch(/^'/);
});

test('figures stay figures, also below zero, and anything else in their column is a bug', () => {
  expect(csvTable(table, [{ text: 'a', amount: '-1.05' }, { amount: 3 }])).toBe('text,amount\r\na,-1.05\r\n,3\r\n');
  for (const amount of ['=1', '1,5', '1e5', '+1', ' 1', "'1", 'NaN', '--1']) expect(() => csvTable(table, [{ amount }])).toThrow('figures');
});

test('whatever text goes out comes back as it was', async () => {
  const beginning = fc.constantFrom('', "'", "''", '=', '+', '-', '@', '\t', '\r', "'=", "''-", '"', ',', ';', '\n');
  const text = fc.tuple(beginning, fc.string({ unit: 'grapheme', maxLength: 12 })).map(([start, rest]) => (start + rest).replaceAll('\0', ''));
  await fc.assert(
    fc.asyncProperty(fc.array(text, { minLength: 1, maxLength: 5 }), async (texts) => {
      expect(await readBack(csvTable(table, texts.map((each) => ({ text: each, amount: '1.00' }))))).toEqual(texts.map((each) => [each, '1.00']));
    }),
    { numRuns: Number(process.env['CASES'] ?? 300) },
  );
});
