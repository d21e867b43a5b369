/**
 * The statistics of one machine and tender, carried from one accepted count to the next: what was learned of its usual
 * spread, both charts, and whether its variances are too regular to be true.
 */
import { toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import { averageLimit, nextAverage, nextSum, type ChartSettings } from '#domain/variance/charts';
import { learnable, standardise, type Interval, type Spread } from '#domain/variance/standardise';

/** What a count can be flagged for, beside its tolerance. */
export const signals = ['steady-shortage', 'moving-average', 'always-zero', 'repeating'] as const;
export type Signal = (typeof signals)[number];

export interface SeriesState {
  readonly learned: readonly number[];
  readonly sum: number;
  readonly average: number;
  /** Values since the moving average was started. */
  readonly averaged: number;
  /** The day since which every variance was zero. */
  readonly zeroSince: LocalDate | null;
  readonly zeros: number;
  /** The latest variances, oldest first. */
  readonly latestMinor: readonly bigint[];
}

export interface CountedInterval extends Interval {
  readonly day: LocalDate;
  /** An outage or a break-in explains the interval: it is no evidence of anything else. */
  readonly leftOut: boolean;
}

export interface SeriesPoint {
  /** In sigmas; null where too little is learned, or the interval was left out. */
  readonly standardised: number | null;
  readonly sum: number;
  readonly average: number;
  readonly averageLimit: number;
  readonly signals: readonly Signal[];
}

export const newSeries: SeriesState = { learned: [], sum: 0, average: 0, averaged: 0, zeroSince: null, zeros: 0, latestMinor: [] };

/** Too regular: so many counts in a row without any difference over so many days, or a pattern over so many counts. */
const ZERO_COUNTS = 6;
const ZERO_DAYS = 90;
const PATTERN_COUNTS = 6;
const PATTERN_PERIODS = [1, 2, 3] as const;

/** One more count. A chart that signals is started anew, so that one cause is reported once and the next one is seen. */
export function advance(state: SeriesState, interval: CountedInterval, settings: { readonly charts: ChartSettings; readonly spread: Spread }): { readonly state: SeriesState; readonly point: SeriesPoint } {
  const { charts, spread } = settings;
  const standing = { sum: state.sum, average: state.average, averageLimit: averageLimit(state.averaged, charts) };
  if (interval.leftOut) return { state, point: { standardised: null, ...standing, signals: [] } };

  const regular = watchRegular(state, interval);
  const standardised = standardise(interval, state.learned, spread);
  const learned = learn(state.learned, interval, spread);
  if (standardised === null) return { state: { ...state, ...regular.state, learned }, point: { standardised, ...standing, signals: regular.signals } };

  const sum = nextSum(state.sum, -standardised, charts);
  const average = nextAverage(state.average, standardised, charts);
  const averaged = state.averaged + 1;
  const limit = averageLimit(averaged, charts);
  const sumSignals = sum > charts.decision;
  const averageSignals = Math.abs(average) > limit;
  return {
    state: {
      ...regular.state,
      learned,
      sum: sumSignals ? 0 : sum,
      average: averageSignals ? 0 : average,
      averaged: averageSignals ? 0 : averaged,
    },
    point: {
      standardised,
      sum,
      average,
      averageLimit: limit,
      signals: [...(sumSignals ? (['steady-shortage'] as const) : []), ...(averageSignals ? (['moving-average'] as const) : []), ...regular.signals],
    },
  };
}

function learn(learned: readonly number[], interval: CountedInterval, spread: Spread): readonly number[] {
  const value = learned.length < spread.learnAtMost ? learnable(interval) : null;
  return value === null ? learned : [...learned, value];
}

type Regular = Pick<SeriesState, 'zeroSince' | 'zeros' | 'latestMinor'>;

/** A machine that took nothing agrees by necessity: such a count says nothing either way. */
function watchRegular(state: SeriesState, { day, expectedMinor, varianceMinor }: CountedInterval): { readonly state: Regular; readonly signals: readonly Signal[] } {
  if (expectedMinor === 0n && varianceMinor === 0n) return { state, signals: [] };
  const latestMinor = [...state.latestMinor, varianceMinor].slice(-PATTERN_COUNTS);
  const zeroSince = varianceMinor === 0n ? (state.zeroSince ?? day) : null;
  const zeros = varianceMinor === 0n ? state.zeros + 1 : 0;
  if (zeroSince !== null && zeros >= ZERO_COUNTS && toDayNumber(day) - toDayNumber(zeroSince) >= ZERO_DAYS) {
    return { state: { zeroSince: null, zeros: 0, latestMinor }, signals: ['always-zero'] };
  }
  return repeats(latestMinor) ? { state: { zeroSince, zeros, latestMinor: [] }, signals: ['repeating'] } : { state: { zeroSince, zeros, latestMinor }, signals: [] };
}

function repeats(latestMinor: readonly bigint[]): boolean {
  if (latestMinor.length < PATTERN_COUNTS || latestMinor.every((minor) => minor === 0n)) return false;
  return PATTERN_PERIODS.some((period) => latestMinor.every((minor, place) => place < period || minor === latestMinor[place - period]));
}
