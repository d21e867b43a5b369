import { localDate } from '#domain/calendar/local-date';
import { checkLine, type Directory, type LineError } from './check-line';
import { columns, readHeader } from './columns';

const directory: Directory = {
  people: new Map([['C-3', { id: 'person-3' }]]),
  sites: new Map([
    ['S-1', { id: 'site-1', currency: 'USD', today: localDate('2026-10-20'), openedOn: localDate('2026-01-01') }],
    ['S-2', { id: 'site-2', currency: 'JPY', today: localDate('2026-10-20'), openedOn: localDate('2026-01-01') }],
  ]),
  machines: new Map([
    [
      'M-1',
      {
        id: 'machine-1',
        placements: [
          { id: 'placement-1', siteId: 'site-1', placedOn: localDate('2026-02-01'), removedOn: localDate('2026-10-10') },
          { id: 'placement-2', siteId: 'site-2', placedOn: localDate('2026-10-10'), removedOn: null },
        ],
      },
    ],
  ]),
};
const { header } = readHeader(columns.map((column) => column.name), columns);
const good = ['S-1', '2026-10-09', '14:30', 'M-1', '1', 'no', '12.50', '20', 'USD', '1.00', '5.00', 'C-3', '2026-09-30', 'RED=12|BLUE TOKEN=3', '4', '1', '31'];

function check(changes: Readonly<Record<number, string>>, decimalMark: '.' | ',' = '.') {
  const cells = good.map((cell, position) => changes[position] ?? cell);
  return checkLine({ line: { lineNumber: 7, cells }, header, directory, decimalMark });
}

function codes(result: ReturnType<typeof checkLine>): string[] {
  return (result as LineError[]).map((error) => `${error.column}:${error.code}`);
}

test('a good line becomes amounts in minor units at the right placement', () => {
  expect(check({})).toEqual({
    lineNumber: 7,
    siteId: 'site-1',
    placementId: 'placement-1',
    machineId: 'machine-1',
    currency: 'USD',
    collectedOn: '2026-10-09',
    collectedAt: '14:30',
    accountingDate: '2026-09-30',
    collectedBy: 'person-3',
    part: 1,
    removal: false,
    coinMinor: 1250n,
    noteMinor: 2000n,
    tokens: { RED: 12, 'BLUE TOKEN': 3 },
    houseCoinMinor: 400n,
    badCoinMinor: 100n,
    meteredMinor: 3100n,
    readings: {},
    refundMinor: 100n,
    handedMinor: 500n,
  });
});

test('meters that were not read are not nothing', () => {
  expect(check({ 13: '', 14: '', 15: '', 16: '' })).toMatchObject({ tokens: {}, houseCoinMinor: 0n, badCoinMinor: 0n, meteredMinor: null });
  expect(check({ 16: '0' })).toMatchObject({ meteredMinor: 0n });
});

test.each([
  [{ 0: 'S-9' }, 'site:unknown-site'],
  [{ 13: 'RED' }, 'tokens:not-tokens'],
  [{ 13: 'RED=0' }, 'tokens:not-tokens'],
  [{ 13: 'RED=1|RED=2' }, 'tokens:not-tokens'],
  [{ 13: 'RED=1000001' }, 'tokens:not-tokens'],
  [{ 14: '-1' }, 'house_coin:negative-amount'],
  [{ 15: '0.001' }, 'bad_coin:too-many-digits'],
  [{ 16: 'many' }, 'metered:not-an-amount'],
  [{ 0: '' }, 'site:cell-missing'],
  [{ 3: 'M-9' }, 'machine:unknown-machine'],
  [{ 1: '2026-02-30' }, 'collected_on:not-a-date'],
  [{ 1: '09.10.2026' }, 'collected_on:not-a-date'],
  [{ 1: '2026-10-21', 5: 'no' }, 'collected_on:date-in-the-future'],
  [{ 1: '2025-12-31' }, 'collected_on:before-site-opened'],
  [{ 2: '24:00' }, 'collected_at:not-a-time'],
  [{ 4: '0' }, 'part:not-a-part'],
  [{ 5: 'maybe' }, 'removal:not-yes-or-no'],
  [{ 6: '-1.00' }, 'coin:negative-amount'],
  [{ 6: '1.005' }, 'coin:too-many-digits'],
  [{ 6: '1,50' }, 'coin:not-an-amount'],
  [{ 6: '1.234,50' }, 'coin:not-an-amount'],
  [{ 6: '9999999999999999' }, 'coin:amount-too-large'],
  [{ 6: '1e3' }, 'coin:not-an-amount'],
  [{ 8: 'EUR' }, 'currency:other-currency'],
  [{ 1: '2026-01-15' }, 'machine:not-placed-here'],
  [{ 12: '2026-10-21' }, 'accounting_date:date-in-the-future'],
  [{ 11: 'C-9' }, 'collector:unknown-person'],
] as const)('%j is refused as %s', (changes, expected) => {
  expect(codes(check(changes))).toContain(expected);
});

test('all that is wrong in a line is named at once', () => {
  expect(codes(check({ 0: 'S-9', 6: '-1', 7: 'x' }))).toEqual(['site:unknown-site', 'coin:negative-amount', 'note:not-an-amount']);
});

test('a currency without minor unit takes no digits after the mark', () => {
  expect(codes(check({ 0: 'S-2', 1: '2026-10-12', 6: '12.5', 8: 'JPY' }))).toEqual(['coin:too-many-digits', 'refund:too-many-digits', 'handed_to_site:too-many-digits']);
});

test('the decimal comma is a setting, never a guess', () => {
  expect(check({ 6: '12,50', 9: '1,00', 10: '5,00' }, ',')).toMatchObject({ coinMinor: 1250n });
});

test('a header with a misspelt, doubled or missing name is refused', () => {
  expect(readHeader(['site', 'collected_on', 'machine', 'coins', 'site'], columns).problems).toEqual([
    { column: 'coins', code: 'unknown-column' },
    { column: 'site', code: 'column-twice' },
    { column: 'coin', code: 'column-missing' },
  ]);
});
