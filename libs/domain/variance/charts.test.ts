import { averageLimit, nextAverage, nextSum } from './charts';

// NIST/SEMATECH e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959.
const groups = [
  324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875,
  328.35,
];
const running = (deviations: readonly number[]): number[] =>
  deviations.reduce<number[]>((sums, deviation) => [...sums, nextSum(sums.at(-1) ?? 0, deviation, { reference: 0.3175 })], []);

test('the handbook’s sum first exceeds its limit at group 14 and ends at 19.035, the other side never does', () => {
  const upper = running(groups.map((value) => value - 325));
  expect(upper.findIndex((sum) => sum > 4.1959)).toBe(13);
  expect(upper[13]).toBeCloseTo(4.94, 2);
  expect(upper.at(-1)).toBeCloseTo(19.035, 3);
  expect(Math.max(...running(groups.map((value) => 325 - value)))).toBeLessThan(4.1959);
});

test('mirrored at the target it tests the shortage side', () => {
  const shortage = running(groups.map((value) => 650 - value).map((value) => 325 - value));
  expect(shortage.findIndex((sum) => sum > 4.1959)).toBe(13);
  expect(shortage.at(-1)).toBeCloseTo(19.035, 3);
});

test('the handbook’s moving average and its limits', () => {
  // NIST/SEMATECH e-Handbook 6.3.2.4: target 50, weight 0.3, s 2.0539, L 3; limits 52.5884 and 47.4115 with a factor cut to 0.4201.
  const data = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
  const printed = [50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99];
  const settings = { weight: 0.3, width: 3 };
  let average = 50;
  for (const [place, value] of data.entries()) {
    average = nextAverage(average, value, settings);
    expect(Math.abs(average - (printed[place] ?? 0))).toBeLessThanOrEqual(0.0051);
  }
  expect(50 + averageLimit(Number.POSITIVE_INFINITY, settings) * 2.0539).toBeCloseTo(52.5884, 3);
  expect(50 - averageLimit(Number.POSITIVE_INFINITY, settings) * 2.0539).toBeCloseTo(47.4115, 3);
});

test('the limit opens from the first value to the constant one', () => {
  const settings = { weight: 0.2, width: 3 };
  expect(averageLimit(1, settings)).toBeCloseTo(0.6, 12);
  expect(averageLimit(400, settings)).toBeCloseTo(1, 12);
});
