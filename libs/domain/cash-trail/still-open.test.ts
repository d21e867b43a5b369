import { localDate } from '#domain/calendar/local-date';
import { stillOpen, type DatedGap } from './still-open';

const gap = (day: number, amountMinor: bigint, more: Partial<DatedGap> = {}): DatedGap => ({ day: localDate(`2026-03-${String(day).padStart(2, '0')}`), of: 'orla USD', kind: 'float', collectionId: null, holder: 'collector', amountMinor, ...more });
const told = (gaps: readonly DatedGap[]) => stillOpen(gaps).map(({ day, amountMinor }) => [Number(day.slice(8)), amountMinor]);

test('a float that comes back the next day is no gap; what is kept back of it stays one of its first day', () => {
  expect(told([gap(2, -50_00n), gap(3, 50_00n)])).toEqual([]);
  expect(told([gap(2, -50_00n), gap(3, 45_00n)])).toEqual([[2, -5_00n]]);
  expect(told([gap(2, -50_00n), gap(3, 55_00n)])).toEqual([[3, 5_00n]]);
});

test('the cash of several days that is paid in at once is set off against the oldest first, whichever came first', () => {
  const paidIn = { kind: 'paid-in', holder: 'counting-room', of: 'room USD' } as const;
  expect(told([gap(2, -100n, paidIn), gap(3, -200n, paidIn), gap(4, -300n, paidIn), gap(5, 350n, paidIn)])).toEqual([[4, -250n]]);
  expect(told([gap(2, 350n, paidIn), gap(3, -100n, paidIn), gap(4, -300n, paidIn)])).toEqual([[4, -50n]]);
});

test('nothing is set off between people, currencies or kinds', () => {
  const gaps = [gap(2, -50n), gap(3, 50n, { of: 'perry USD' }), gap(3, 50n, { of: 'orla EUR' }), gap(3, 50n, { kind: 'handed-in' })];
  expect(stillOpen(gaps)).toEqual(gaps);
});

test('what lacks in the bags of one site is not made good at another', () => {
  const gaps = [gap(2, -50n, { kind: 'bags', collectionId: 'one' }), gap(3, 50n, { kind: 'bags', collectionId: 'other' })];
  expect(stillOpen(gaps)).toEqual(gaps);
});
