/**
 * Box counts per second that the engine alone settles on one core, against Postgres adding up the same counts per machine,
 * and whether a count costs the same in any number.
 */
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import { onConnection } from '#tests/support/connection';
import { withEmptyServer } from '#tests/support/migrated-server';
import { charge, count, inputs, insideRule, machine, period, slip, version } from '#tests/support/settlement-inputs';

export interface SettlementEngineBench {
  readonly countsPerSecond: number;
  readonly explainedCountsPerSecond: number;
  /** Counts per second of a plain `sum ... GROUP BY` over the same counts in Postgres, on one core. */
  readonly summedBySqlPerSecond: number;
  /** Time of the engine over time of the sum; 1 would be as fast as adding up alone. */
  readonly ratioToSql: number;
  readonly explainedRatioToSql: number;
  /** Processor nanoseconds per count of one settlement with so many counts. */
  readonly nanosecondsPerCount: readonly { readonly counts: number; readonly nanoseconds: number }[];
  /** Cost of a count among a million over that of one among a thousand; 1 is linear. */
  readonly costOfAMillionToAThousand: number;
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

export async function benchSettlementEngine(): Promise<SettlementEngineBench> {
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
  const [countsPerSecond, explainedCountsPerSecond] = [perSecond(false), perSecond(true)];
  const summedBySqlPerSecond = countsPerRound / (await sqlSeconds(months));
  const costOf = (counts: number): number => nanosecondsPerCount.find((each) => each.counts === counts)?.nanoseconds ?? 0;
  return {
    countsPerSecond,
    explainedCountsPerSecond,
    summedBySqlPerSecond,
    ratioToSql: summedBySqlPerSecond / countsPerSecond,
    explainedRatioToSql: summedBySqlPerSecond / explainedCountsPerSecond,
    nanosecondsPerCount,
    costOfAMillionToAThousand: costOf(1_000_000) / costOf(1000),
  };
}

/** Median time in which Postgres adds up the counts of every machine, without helpers and with the table in its memory. */
async function sqlSeconds(months: readonly SettlementInputs[]): Promise<number> {
  let seconds: number[] = [];
  await withEmptyServer((superuserUrl) =>
    onConnection(superuserUrl, async (client) => {
      const rows = months.flatMap(({ current }, index) => current.counts.map((each) => ({ site: index, ...each })));
      await client.query('CREATE TABLE counted (site integer, machine text, coin_minor bigint, note_minor bigint)');
      await client.query('INSERT INTO counted SELECT * FROM unnest($1::integer[], $2::text[], $3::bigint[], $4::bigint[])', [
        rows.map((row) => row.site),
        rows.map((row) => row.machineId),
        rows.map((row) => row.coinMinor.toString()),
        rows.map((row) => row.noteMinor.toString()),
      ]);
      await client.query('VACUUM ANALYZE counted');
      await client.query('SET max_parallel_workers_per_gather = 0');
      const add = async (): Promise<number> => {
        const startedAt = performance.now();
        await client.query('SELECT site, machine, sum(coin_minor + note_minor) FROM counted GROUP BY site, machine');
        return (performance.now() - startedAt) / 1000;
      };
      await add();
      seconds = [];
      for (let round = 0; round < rounds; round += 1) seconds.push(await add());
    }),
  );
  return median(seconds);
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
