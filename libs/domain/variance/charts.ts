/**
 * Two control charts of a standardised variance. The sum finds a small steady shortage that never leaves the tolerance
 * (Page 1954; NIST/SEMATECH e-Handbook 6.3.2.3); the moving average is the second opinion, on both sides, since meters
 * that stop counting show as overage (Roberts 1959; e-Handbook 6.3.2.4).
 */
export interface ChartSettings {
  /** k: half the shift that is to be found fast, in sigmas. */
  readonly reference: number;
  /** h: the sum above which the chart signals, in sigmas. */
  readonly decision: number;
  /** Weight of the newest value in the moving average, above 0 to 1. */
  readonly weight: number;
  /** Distance of the limits of the moving average, in its own standard deviations. */
  readonly width: number;
}

export const usualCharts: ChartSettings = { reference: 0.5, decision: 4, weight: 0.2, width: 3 };

/** The next one-sided sum over deviations in the direction that is watched; what runs the other way never counts as credit. */
export function nextSum(sum: number, deviation: number, { reference }: Pick<ChartSettings, 'reference'>): number {
  return Math.max(0, sum + deviation - reference);
}

export function nextAverage(average: number, value: number, { weight }: Pick<ChartSettings, 'weight'>): number {
  return weight * value + (1 - weight) * average;
}

/** How far the moving average may be from its target after that many values since it was started; infinitely many give the constant limit. */
export function averageLimit(values: number, { weight, width }: Pick<ChartSettings, 'weight' | 'width'>): number {
  return width * Math.sqrt((weight / (2 - weight)) * (1 - (1 - weight) ** (2 * values)));
}
