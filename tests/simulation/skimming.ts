/**
 * A simulated year of machines, on some of which somebody takes a share of the cash at every visit from some day on. It says
 * what the statistics can find and what they cost in false alarms; real boxes will differ.
 */
import { addDays, localDate } from '#domain/calendar/local-date';
import { usualCharts } from '#domain/variance/charts';
import { advance, newSeries, type SeriesState } from '#domain/variance/series';
import { usualSpread } from '#domain/variance/standardise';
import { defaultTolerance, isOutOfTolerance, type Tolerance } from '#domain/variance/tolerance';

export const skims = [0, 2, 5, 10] as const;
export type Skim = (typeof skims)[number];

/** The visits before which nobody skims, so that the delay is not one of learning. */
const HONEST_VISITS = 16;
const VISITS = 52;

export interface SimulatedMachine {
  readonly skimPercent: Skim;
  /** Counts from the first skimmed one to the first signal, with it; null where there was none. By honest machines always null. */
  readonly sumDelay: number | null;
  readonly averageDelay: number | null;
  readonly toleranceDelay: number | null;
  /** Counts without a skim that were flagged, and of how many. */
  readonly falseBySum: number;
  readonly falseByAverage: number;
  readonly falseByTolerance: number;
  readonly honestCounts: number;
  /** Taken before anything said so, in minor units. */
  readonly lostMinor: bigint;
}

/** 32 bits at a time from a seed (Marsaglia's xorshift, 2003): the same year for the same seed on every machine. */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 2 ** 32;
  };
}

/** Weekly visits for a year: takings around a mean of the machine's own, slips of counting in proportion to their root, one box in a hundred wild. */
export function simulateMachine(skimPercent: Skim, random: () => number): SimulatedMachine {
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const meanMinor = 8_000 * Math.exp(normal() * 0.5 + 0.8);
  const slip = 1 + 2 * random();
  const tolerance = defaultTolerance('USD') as Tolerance;
  const settings = { charts: usualCharts, spread: usualSpread(tolerance.amountMinor) };
  const firstSkim = HONEST_VISITS + Math.floor(random() * 12);
  const first: { [by in 'sum' | 'average' | 'tolerance']: number | null } = { sum: null, average: null, tolerance: null };
  const falsely = { sum: 0, average: 0, tolerance: 0 };
  let state: SeriesState = newSeries;
  let lostMinor = 0n;
  let honestCounts = 0;
  for (let visit = 0; visit < VISITS; visit += 1) {
    const expectedMinor = wholeQuarters(meanMinor * Math.exp(normal() * 0.25));
    const skimming = skimPercent > 0 && visit >= firstSkim;
    const skimMinor = skimming ? wholeQuarters((Number(expectedMinor) * skimPercent) / 100) : 0n;
    const wildMinor = random() < 0.01 ? wholeQuarters(Number(expectedMinor) * 0.1 * normal()) : 0n;
    const varianceMinor = wholeQuarters(slip * Math.sqrt(Number(expectedMinor)) * normal()) + wildMinor - skimMinor;
    const next = advance(state, { expectedMinor, varianceMinor, day: addDays(localDate('2026-01-05'), visit * 7), leftOut: false }, settings);
    state = next.state;
    const found = {
      sum: next.point.signals.includes('steady-shortage'),
      average: next.point.signals.includes('moving-average'),
      tolerance: isOutOfTolerance(tolerance, { meteredMinor: expectedMinor, countedMinor: expectedMinor + varianceMinor }),
    };
    if (skimming && Object.values(first).every((delay) => delay === null)) lostMinor += skimMinor;
    if (!skimming) honestCounts += 1;
    for (const by of ['sum', 'average', 'tolerance'] as const) {
      if (!found[by]) continue;
      if (skimming) first[by] ??= visit - firstSkim + 1;
      else falsely[by] += 1;
    }
  }
  return {
    skimPercent,
    sumDelay: first.sum,
    averageDelay: first.average,
    toleranceDelay: first.tolerance,
    falseBySum: falsely.sum,
    falseByAverage: falsely.average,
    falseByTolerance: falsely.tolerance,
    honestCounts,
    lostMinor,
  };
}

/** To the quarter dollar, the coin of these machines. */
function wholeQuarters(minor: number): bigint {
  return BigInt(Math.round(minor / 25)) * 25n;
}

export interface Fleet {
  readonly honest: number;
  readonly skimmedEach: number;
  readonly seed: number;
}

export const wholeFleet: Fleet = { honest: 290, skimmedEach: 20, seed: 20261125 };

export function simulateYear({ honest, skimmedEach, seed }: Fleet): SimulatedMachine[] {
  const random = randomFrom(seed);
  return skims.flatMap((skim) => Array.from({ length: skim === 0 ? honest : skimmedEach }, () => simulateMachine(skim, random)));
}

/** The table of the README, line by line. */
export function tableOf(machines: readonly SimulatedMachine[]): string[] {
  const rows = skims.map((skim) => {
    const own = machines.filter(({ skimPercent }) => skimPercent === skim);
    const counts = own.reduce((sum, { honestCounts }) => sum + honestCounts, 0);
    const per = (total: number): string => (total / (counts / VISITS)).toFixed(2);
    const sumOf = (figure: (machine: SimulatedMachine) => number): number => own.reduce((sum, machine) => sum + figure(machine), 0);
    const found = (delay: (machine: SimulatedMachine) => number | null): string => {
      const delays = own.flatMap((machine) => delay(machine) ?? []).sort((left, right) => left - right);
      return skim === 0 ? '' : `${delays.length} of ${own.length}, ${delays[delays.length >> 1] ?? '-'}`;
    };
    const lost = own.map(({ lostMinor }) => Number(lostMinor)).sort((left, right) => left - right)[own.length >> 1] ?? 0;
    return [
      skim === 0 ? 'none' : `${skim} %`,
      `${own.length}`,
      found(({ sumDelay }) => sumDelay),
      found(({ averageDelay }) => averageDelay),
      found(({ toleranceDelay }) => toleranceDelay),
      skim === 0 ? '' : (lost / 100).toFixed(2),
      per(sumOf(({ falseBySum }) => falseBySum)),
      per(sumOf(({ falseByAverage }) => falseByAverage)),
      per(sumOf(({ falseByTolerance }) => falseByTolerance)),
    ];
  });
  const head = ['skimmed', 'machines', 'sum', 'average', 'tolerance', 'lost', 'false: sum', 'false: average', 'false: tolerance'];
  return [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`);
}
