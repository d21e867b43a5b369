import { localDate } from '#domain/calendar/local-date';
import type { JournalEntry } from '#domain/journal/types';
import { csvEntry } from './csv';

const entry = (fields: Partial<JournalEntry & { reference: string }>): JournalEntry & { reference?: string } => ({
  id: 'e',
  date: localDate('2026-03-10'),
  currency: 'USD',
  kind: 'collection-accepted',
  sourceId: 's',
  postings: [
    { account: { code: 'cash-in-counting-room', holderId: null }, amountMinor: 105n },
    { account: { code: 'takings-to-settle', holderId: 'a' }, amountMinor: -105n },
  ],
  ...fields,
});

// OWASP, "CSV Injection": a cell that begins with = + - @, tab or carriage return may run as a formula.
test.each(['=1+1', '+1', '-1+2', '@SUM(A1)', '\t=1', '\r=1'])('text that begins like the formula %j gets an apostrophe', (text) => {
  const csv = csvEntry(entry({ reference: text }), () => text);
  for (const before of [',', ',"']) expect(csv).not.toContain(before + text);
  expect(csv).toContain(`'${text}`);
});

test('amounts stay numbers, also below zero, in the digits of their currency', () => {
  const lines = csvEntry(entry({}), () => 'name').trimEnd().split('\r\n');
  expect(lines.map((line) => line.split(',').slice(-3))).toEqual([
    ['1.05', '', '1.05'],
    ['', '1.05', '-1.05'],
  ]);
  expect(csvEntry(entry({ currency: 'JPY' }), () => 'name')).toContain(',JPY,105,,105');
});

test('commas, quotes and line ends stay inside their cell (RFC 4180)', () => {
  expect(csvEntry(entry({ reference: 'a,"b"\nc' }), () => 'name')).toContain(',"a,""b""\nc",');
});
