import { addDays, localDate } from '#domain/calendar/local-date';
import { usualCharts } from './charts';
import { advance, newSeries, type CountedInterval, type SeriesPoint, type SeriesState } from './series';
import { scaleOf, standardise, usualSpread } from './standardise';

const settings = { charts: usualCharts, spread: usualSpread(2500n) };
const start = localDate('2026-01-05');

function run(intervals: readonly (Partial<CountedInterval> & { varianceMinor: bigint })[], from: SeriesState = newSeries): { points: SeriesPoint[]; state: SeriesState } {
  let state = from;
  const points = intervals.map((interval, place) => {
    const next = advance(state, { expectedMinor: 40000n, day: addDays(start, place * 14), leftOut: false, ...interval }, settings);
    state = next.state;
    return next.point;
  });
  return { points, state };
}

const noise = [150n, -200n, 75n, -125n, 250n, -50n, -225n, 100n, 25n, -75n, 175n, -150n, 50n, 225n, -100n, -25n];
const noisy = (count: number) => Array.from({ length: count }, (_each, place) => ({ varianceMinor: noise[place % noise.length] ?? 0n }));

test('nothing is standardised before enough is learned, and ordinary noise signals nothing', () => {
  const { points } = run(noisy(40));
  expect(points.findIndex(({ standardised }) => standardised !== null)).toBe(settings.spread.learnAtLeast);
  expect(points.flatMap(({ signals }) => signals)).toEqual([]);
});

test('a steady shortage far below the tolerance is found, and the chart starts anew', () => {
  const { state } = run(noisy(20));
  const { points } = run(noisy(12).map(({ varianceMinor }) => ({ varianceMinor: varianceMinor - 300n })), state);
  const found = points.findIndex(({ signals }) => signals.includes('steady-shortage'));
  expect(found).toBeGreaterThan(0);
  expect(found).toBeLessThan(8);
  expect(points[found]?.sum).toBeGreaterThan(usualCharts.decision);
  expect(points[found + 1]?.sum).toBeLessThan(usualCharts.decision);
});

test('a shortage from the first day does not become the norm', () => {
  const { points } = run(noisy(20).map(({ varianceMinor }) => ({ varianceMinor: varianceMinor - 500n })));
  expect(points.some(({ signals }) => signals.includes('steady-shortage'))).toBe(true);
});

test('one wild box does not set off the sum, nor does it widen what is usual', () => {
  const { state } = run(noisy(20));
  const { points } = run([{ varianceMinor: -30000n }, ...noisy(4)], { ...state, sum: 0 });
  expect(points.flatMap(({ signals }) => signals)).not.toContain('steady-shortage');
  const [clean, wild] = [noisy(15), [...noisy(14), { varianceMinor: -30000n }]].map((intervals) => scaleOf(run(intervals).state.learned));
  expect(wild).toBeLessThan((clean ?? 0) * 1.5);
});

test('meters that stopped counting show as a moving average above its limit', () => {
  const { state } = run(noisy(20));
  const { points } = run(noisy(10).map(({ varianceMinor }) => ({ varianceMinor: varianceMinor + 300n })), state);
  expect(points.some(({ average, averageLimit, signals }) => average > averageLimit && signals.includes('moving-average'))).toBe(true);
  expect(points.every(({ signals }) => !signals.includes('steady-shortage'))).toBe(true);
});

test('an interval with an outage or a break-in changes nothing', () => {
  const { state } = run(noisy(20));
  const { points, state: after } = run([{ varianceMinor: -30000n, leftOut: true }], state);
  expect(after).toEqual(state);
  expect(points).toMatchObject([{ standardised: null, signals: [] }]);
});

test('zero on every count for three months is unusual, and said once', () => {
  const { points } = run(Array.from({ length: 12 }, () => ({ varianceMinor: 0n })));
  // Counts are two weeks apart: the eighth is on day 98.
  expect(points.map(({ signals }) => signals.includes('always-zero')).indexOf(true)).toBe(7);
  expect(points.filter(({ signals }) => signals.includes('always-zero'))).toHaveLength(1);
});

test('a machine that took nothing is no coincidence', () => {
  const { points } = run(Array.from({ length: 20 }, () => ({ expectedMinor: 0n, varianceMinor: 0n })));
  expect(points.flatMap(({ signals }) => signals)).toEqual([]);
});

test.each([
  ['the same amount each time', [-500n, -500n, -500n, -500n, -500n, -500n]],
  ['two by turns', [-500n, 0n, -500n, 0n, -500n, 0n]],
  ['three by turns', [-500n, 25n, 0n, -500n, 25n, 0n]],
])('a pattern: %s', (_name, minors) => {
  const { points } = run(minors.map((varianceMinor) => ({ varianceMinor })));
  expect(points.map(({ signals }) => signals.includes('repeating'))).toEqual([false, false, false, false, false, true]);
});

test('sigmas grow with the root of what is expected, with a floor', () => {
  const learned = noisy(16).map(({ varianceMinor }) => Number(varianceMinor) / 200);
  const at = (expectedMinor: bigint, varianceMinor: bigint) => standardise({ expectedMinor, varianceMinor }, learned, { ...settings.spread, leastMinor: 0n, leastShare: 0 });
  expect((at(40000n, -200n) ?? 0) / (at(160000n, -400n) ?? 1)).toBeCloseTo(1, 12);
  const exact = new Array<number>(12).fill(0);
  expect(standardise({ expectedMinor: 40000n, varianceMinor: -100n }, exact, settings.spread)).toBeCloseTo(-1, 12);
  expect(standardise({ expectedMinor: 0n, varianceMinor: -1n }, exact, { ...settings.spread, leastMinor: 0n })).toBe(-settings.spread.mostSigmas);
});
