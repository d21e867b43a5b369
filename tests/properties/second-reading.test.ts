import fc from 'fast-check';
import { actsOf, allActs } from './second-reading/acts';
import { issueAgain } from './second-reading/chain';
import { carriesOfEngine, carriesOfSecond, figuresOfEngine, listed, payablesOfEngine, payablesOfSecond } from './second-reading/figures';
import { balanceOf } from './second-reading/settle';
import { issueAll, timelines, type Timeline } from './second-reading/timeline';

/** Timelines of a run, and where they begin: CASES=200000 SEED=2 for a long one. SHRINK=1 looks for a smaller case, which takes its time. */
const numRuns = Number(process.env['CASES'] ?? 1000);
const seed = Number(process.env['SEED'] ?? 20_271_213);
const shrinks = process.env['SHRINK'] !== undefined;

/** What both readings say of every settlement of a timeline, in the same words, and which rules acted in it. */
function bothReadings(timeline: Timeline) {
  const issued = issueAll(timeline);
  const again = issueAgain(issued, timeline.advances);
  const tags = new Map(timeline.machines.map((machine) => [machine.id, machine.tag]));
  const idOf = (settlement: number, block: number) => issued[settlement]?.result.periods[block]?.period.id;
  return {
    acts: actsOf(timeline, again),
    unbalanced: again.flatMap(({ blocks }) => blocks.flatMap(({ settled }) => settled.pools.filter((pool) => balanceOf(pool) !== 0n))),
    engine: issued.map(({ inputs, result }) => ({
      periods: result.periods.map(({ period, lines, carriesOut }) => ({
        id: period.id,
        lines: listed(figuresOfEngine(lines, inputs)),
        carries: listed(carriesOfEngine(carriesOut, tags)),
      })),
      payables: listed(payablesOfEngine(result)),
      broken: result.breaches.map((breach) => breach.kind),
    })),
    second: again.map(({ blocks, payables, broken }, settlement) => ({
      periods: blocks.map(({ settled, figures }, block) => ({
        id: idOf(settlement, block),
        lines: listed(figures),
        carries: listed(carriesOfSecond(settled.carriedOut)),
      })),
      payables: listed(payablesOfSecond(payables)),
      broken,
    })),
  };
}

test(
  'the engine and a second reading of the same terms give the same figures, and every rule acts in at least 2 % of the cases',
  () => {
    process.stdout.write(`second reading: ${numRuns} timelines, seed ${seed}\n`);
    const acted = new Map<string, number>();
    fc.assert(
      fc.property(timelines, (timeline) => {
        const { acts, unbalanced, engine, second } = bothReadings(timeline);
        for (const act of acts) acted.set(act, (acted.get(act) ?? 0) + 1);
        expect(unbalanced).toEqual([]);
        expect(engine).toEqual(second);
      }),
      { numRuns, seed, endOnFailure: !shrinks },
    );
    const table = allActs.map((act) => ({ act, percent: ((acted.get(act) ?? 0) * 100) / numRuns }));
    process.stdout.write(`${table.map(({ act, percent }) => `${percent.toFixed(1).padStart(6)} %  ${act}`).join('\n')}\n`);
    expect(table.filter(({ percent }) => percent < 2)).toEqual([]);
  },
  60_000 + numRuns * 200,
);
