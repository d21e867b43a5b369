/** Box counts per second that the engine alone settles on one core, and whether a count costs the same in any number. */
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import { charge, count, inputs, insideRule, machine, period, slip, version } from '#tests/support/settlement-inputs';

export interface SettlementEngineBench {
  readonly countsPerSecond: number;
  readonly explainedCountsPerSecond: number;
  /** Processor nanoseconds per count of one settlement with so many counts. */
  readonly nanosecondsPerCount: readonly { readonly counts: number; readonly nanoseconds: number }[];
}

const sites = 500;
const rounds = 9;
const tags = ['1', '2', '3', '4', '5', '6', '7', '8'];
const visits = ['2026-01-08', '2026-01-15', '2026-01-22', '2026-01-29'];

/** A month of one site: eight machines, four collections, a slip, two tax components, a first call and equal shares. */
function month(site: number): SettlementInputs {
  return inputs(
    period('2026-01-01', '2026-02-01', {
      versions: [version('2020-01-01', { charges: [charge()] })],
      machines: tags.map((tag) => machine(tag)),
      counts: tags.flatMap((tag, position) =>
        visits.map((date, visit) => count(tag, date, BigInt(10_000 + site * 7 + position * 13 + visit), { noteMinor: 500n })),
      ),
      refundSlips: [slip('1', '2026-01-15', 300n)],
      taxRules: [insideRule(['4', '0.5'])],
    }),
  );
}

function large(counts: number): SettlementInputs {
  const [one] = month(0).current.counts;
  if (one === undefined) throw new Error('a month has counts');
  const many = Array.from({ length: counts }, (_each, index) => ({ ...one, id: `c-${index}`, machineId: `m-${tags[index % tags.length] ?? ''}` }));
  return { ...month(0), current: { ...month(0).current, counts: many } };
}

export function benchSettlementEngine(): SettlementEngineBench {
  const months = Array.from({ length: sites }, (_each, index) => month(index));
  const countsPerRound = months.reduce((sum, each) => sum + each.current.counts.length, 0);
  const perSecond = (explain: boolean): number => {
    const work = (): void => {
      for (const each of months) settle(each, { explain });
    };
    work();
    return countsPerRound / median(Array.from({ length: rounds }, () => processorSeconds(work)));
  };
  const nanosecondsPerCount = [1000, 10_000, 100_000, 1_000_000].map((counts) => {
    const given = large(counts);
    // As much work for each size, so that the small ones are measured over many settlements.
    const repetitions = 1_000_000 / counts;
    const work = (): void => {
      for (let repetition = 0; repetition < repetitions; repetition += 1) settle(given, { explain: false });
    };
    work();
    return { counts, nanoseconds: median([processorSeconds(work), processorSeconds(work), processorSeconds(work)]) * 1000 };
  });
  return { countsPerSecond: perSecond(false), explainedCountsPerSecond: perSecond(true), nanosecondsPerCount };
}

/** Processor time, because on a busy machine the clock measures the neighbours. */
function processorSeconds(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1_000_000;
}

function median(values: readonly number[]): number {
  return [...values].sort((first, second) => first - second)[Math.floor(values.length / 2)] ?? 0;
}
