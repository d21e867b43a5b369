import type { MeterTender, Reading } from '#domain/meters/meter';
import { reportedByTender, reportedCash, type MeterSince } from './reported';

const HOUR_MS = 3_600_000;
const reading = (value: bigint, atHours: number): Reading => ({ id: `${value}`, atMs: atHours * HOUR_MS, phase: 'only', value, confirmed: false, passedEnd: false, collectionId: null, placementId: null });
const meter = (tender: MeterTender, emptied: bigint | null, latest: bigint | null, minor = 25n): MeterSince => ({
  id: tender, tender, secondOf: null, capacity: 100_000n, openedMs: [], unitValues: [{ fromMs: 0, minor }], mostPerHour: 1000n,
  emptied: emptied === null ? null : reading(emptied, 0), latest: latest === null ? null : reading(latest, 48), parting: [],
});

test('what the meters went on since the box was emptied, less what was paid back and tried', () => {
  const meters = [meter('coin', 100n, 300n), meter('note', 10n, 14n, 500n), meter('refunds', 0n, 2n, 100n), meter('test-plays', 5n, 7n), meter('plays', null, null)];
  // 200 x 0.25 + 4 x 5.00 - 2 x 1.00 - 2 x 0.25
  expect(reportedCash(meters)).toBe(5000n + 2000n - 200n - 50n);
});

test('a meter that begins again at zero goes on', () => {
  expect(reportedCash([meter('coin', 99_986n, 11n)])).toBe(625n);
});

test('nobody knows where a cash meter was not read, did not report, or jumped', () => {
  expect(reportedCash([meter('coin', null, 300n)])).toBeNull();
  expect(reportedCash([meter('coin', 100n, null)])).toBeNull();
  expect(reportedCash([meter('coin', 100n, 99_000n)])).toBeNull();
  expect(reportedCash([meter('test-plays', 1n, 2n)])).toBeNull();
});

test('plays stand for all cash on a board that counts none itself', () => {
  expect(reportedByTender([meter('plays', 100n, 140n, 50n)])).toEqual([{ tender: 'cash', minor: 2000n }]);
  expect(reportedCash([meter('plays', 100n, 140n, 50n), meter('test-plays', 0n, 2n, 50n)])).toBe(1900n);
  expect(reportedCash([meter('plays', 100n, null, 50n)])).toBeNull();
});

test('a box holds no less than nothing', () => {
  expect(reportedCash([meter('coin', 100n, 101n), meter('refunds', 0n, 5n, 100n)])).toBe(0n);
});

test('a second counter of the same cash is in no sum, and is not waited for', () => {
  const coins = meter('coin', 100n, 300n);
  expect(reportedCash([coins, { ...meter('coin', 5_000n, 5_190n), id: 'mechanical', secondOf: coins.id }])).toBe(5000n);
  expect(reportedCash([coins, { ...meter('coin', 5_000n, null), id: 'mechanical', secondOf: coins.id }])).toBe(5000n);
});

test('across a change of price each part counts at its own, where it is known what the meter showed then', () => {
  const changed = { ...meter('plays', 100n, 140n, 50n), unitValues: [{ fromMs: 0, minor: 50n }, { fromMs: 24 * HOUR_MS, minor: 100n }] };
  expect(reportedCash([changed])).toBeNull();
  // 30 plays at 0.50 and 10 at 1.00.
  expect(reportedCash([{ ...changed, parting: [reading(130n, 24)] }])).toBe(2500n);
  // Nobody read it, and the machine reported before and after that nothing was played in between.
  expect(reportedCash([{ ...changed, parting: [reading(130n, 20), reading(130n, 30)] }])).toBe(2500n);
  expect(reportedCash([{ ...changed, parting: [reading(129n, 20), reading(130n, 30)] }])).toBeNull();
});

test('what a meter counted while its board was open is no play', () => {
  const opened = (value: bigint, phase: 'before' | 'after'): Reading => ({ ...reading(value, 24), id: phase, phase });
  expect(reportedCash([{ ...meter('coin', 100n, 300n), parting: [opened(150n, 'before'), opened(170n, 'after')] }])).toBe(180n * 25n);
});
