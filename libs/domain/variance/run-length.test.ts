import { averageLimit, nextAverage, usualCharts } from './charts';
import { normalBelow } from './normal';
import { averageRunLength, drawnAverageRunLength, sumRunLength } from './run-length';

const twoSided = (upper: number, lower: number): number => 1 / (1 / upper + 1 / lower);

test('the normal distribution, at printed values', () => {
  // Abramowitz and Stegun table 26.1, from memory.
  expect(normalBelow(0)).toBeCloseTo(0.5, 15);
  expect(normalBelow(1)).toBeCloseTo(0.841344746068543, 13);
  expect(normalBelow(-1.96)).toBeCloseTo(0.024997895148220, 13);
  expect(normalBelow(-5)).toBeCloseTo(2.866515719e-7, 14);
  // The two formulas meet.
  expect(normalBelow(3 - 1e-13)).toBeCloseTo(normalBelow(3), 12);
});

test('the sum: Brook and Evans 1972, Waldmann 1986', () => {
  const settings = { reference: 0.5, decision: 3 };
  // Brook and Evans 4.3: 117.59 and 3.75 with few cells; Waldmann tables 3, 1 and 5: 1963, 117.4, 17.35 (as the manual of R package spc quotes them).
  expect(sumRunLength(settings, 0)).toBeCloseTo(117.6, 0);
  expect(sumRunLength(settings, 1.5)).toBeCloseTo(3.75, 2);
  expect(Math.abs(sumRunLength(settings, -0.5) - 1963)).toBeLessThan(3);
  expect(Math.abs(sumRunLength(settings, 0.5) - 17.35)).toBeLessThan(0.02);
});

// Lucas and Crosier 1982, table 1, k 0.5, h 4, both sides at once (as the manual of R package spc quotes it).
test.each([
  [0, 168],
  [0.25, 74.2],
  [0.5, 26.6],
  [0.75, 13.3],
  [1, 8.38],
  [1.5, 4.75],
  [2, 3.34],
  [2.5, 2.62],
  [3, 2.19],
  [4, 1.71],
  [5, 1.31],
])('the sum, shifted by %s sigma: %s', (mean, printed) => {
  const settings = { reference: 0.5, decision: 4 };
  const found = twoSided(sumRunLength(settings, mean), sumRunLength(settings, -mean));
  expect(Math.abs(found - printed)).toBeLessThanOrEqual(printed >= 100 ? 0.6 : printed >= 10 ? 0.06 : 0.006);
});

test('the sum with another reference: SAS/QC manual 1999, k 0.25, h 8, shift 2.5: 4.1500836225', () => {
  expect(sumRunLength({ reference: 0.25, decision: 8 }, 2.5)).toBeCloseTo(4.1500836, 3);
});

// Crowder 1987, table 1: limits at 2 standard deviations (as the manual of R package spc quotes it).
test.each([
  [0, 26.45, 127.53],
  [0.25, 20.12, 43.94],
  [0.5, 11.89, 18.97],
  [0.75, 7.29, 11.64],
  [1, 4.91, 8.38],
])('the moving average, shifted by %s sigma: %s and %s', (mean, atHalf, atTwentieth) => {
  expect(Math.abs(averageRunLength({ weight: 0.5, width: 2 }, mean) - atHalf)).toBeLessThan(0.02);
  // Narrow cells are few for a small weight: two in a thousand.
  expect(Math.abs(averageRunLength({ weight: 0.05, width: 2 }, mean) / atTwentieth - 1)).toBeLessThan(0.002);
});

test('the moving average with limits at 2: Waldmann 1986, table 1: 104.0 and 1952', () => {
  const at = (weight: number): number => averageRunLength({ weight, width: 2 * Math.sqrt((2 - weight) / weight) }, 0);
  expect(at(0.75)).toBeCloseTo(104, 0);
  expect(Math.abs(at(0.5) - 1952)).toBeLessThan(4);
});

describe('the moving average with the limits that are drawn', () => {
  // Weight 1 is Shewhart's chart, whose limits do not widen: 1 / (2 x 0.0013499) = 370.4 (NIST/SEMATECH e-Handbook 6.3.2).
  test('is the chart of single values where the newest has all the weight', () => expect(drawnAverageRunLength({ weight: 1, width: 3 }, 0)).toBeCloseTo(370.4, 1));

  // Recomputed by chance: 4,000 charts with numbers of a fixed seed. Their mean is known to about its own length / 63.
  test.each([0, 1])('is what charts come to that are drawn (shift of %s sigma)', (mean) => {
    const random = normals(20_261_126);
    const runs = 4_000;
    let steps = 0;
    for (let run = 0; run < runs; run += 1) {
      let [average, values] = [0, 0];
      do {
        values += 1;
        average = nextAverage(average, random() + mean, usualCharts);
      } while (Math.abs(average) <= averageLimit(values, usualCharts));
      steps += values;
    }
    const expected = drawnAverageRunLength(usualCharts, mean);
    expect(Math.abs(steps / runs / expected - 1)).toBeLessThan(0.06);
  });

  test('signals somewhat sooner than with constant limits, falsely too', () => {
    for (const mean of [0, 0.5, 1, 2]) expect(drawnAverageRunLength(usualCharts, mean)).toBeLessThan(averageRunLength(usualCharts, mean));
  });
});

/** Normal values from a fixed seed: Box and Muller over a linear congruence (Park and Miller 1988). */
function normals(seed: number): () => number {
  let state = seed;
  const uniform = (): number => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

test('what the usual settings cost and find', () => {
  // One-sided, so about twice the 168 of both sides.
  expect(Math.abs(sumRunLength(usualCharts, 0) - 336)).toBeLessThan(1);
  expect(sumRunLength(usualCharts, 1)).toBeCloseTo(8.38, 2);
  expect(averageRunLength(usualCharts, 0)).toBeGreaterThan(500);
});
