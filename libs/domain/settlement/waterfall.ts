/** Steps 1 to 6 of one period: what its counts become before anyone is paid. */
import { anyTaxFallsDue } from '#domain/settlement/fixed-tax';
import { sumUp } from '#domain/settlement/cells';
import { takeCharges } from '#domain/settlement/charges';
import { readCovered, writeCovered } from '#domain/settlement/covered-days';
import { groupRuns } from '#domain/settlement/group-runs';
import { applyGuarantees } from '#domain/settlement/guarantees';
import type { LineSink } from '#domain/settlement/line-sink';
import { openPools } from '#domain/settlement/pools';
import { cutPeriod } from '#domain/settlement/segments';
import { splitGroup } from '#domain/settlement/split';
import { writeTakings } from '#domain/settlement/takings';
import { taxPeriod } from '#domain/settlement/tax';
import type { ChargeRest, LossCarry, MachineInput, PeriodCarries, PeriodInputs } from '#domain/settlement/types';

/** Writes the period's lines and returns what it leaves to the next one. */
export function runPeriod(sink: LineSink, given: PeriodInputs, carriesIn: PeriodCarries): PeriodCarries {
  const inputs: PeriodInputs = { ...given, machines: [...given.machines].sort(byTag) };
  const cut = cutPeriod(inputs);
  const machines = sumUp(inputs, cut);
  const covered = readCovered(carriesIn.coveredDays);
  const runs = groupRuns({ cut, machines, covered, taxFallsDue: anyTaxFallsDue(inputs) });
  for (const run of runs) writeTakings(sink, run);
  const negativeTaxes = taxPeriod(sink, { inputs, cut, machines, runs, carriedIn: carriesIn.negativeTaxes });
  let losses: readonly LossCarry[] = carriesIn.losses;
  let rests: readonly ChargeRest[] = carriesIn.chargeRests;
  runs.forEach((run, position) => {
    openPools(sink, run, losses);
    rests = takeCharges(sink, { runs, run, position, period: inputs.period, rests });
    losses = splitGroup(sink, { runs, run, position });
  });
  applyGuarantees(sink, runs);
  return { losses, chargeRests: rests, negativeTaxes, coveredDays: writeCovered(covered) };
}

/** By tag, then by id where two machines carry one tag. Code units, not a locale: the order must be the same everywhere. */
function byTag(first: MachineInput, second: MachineInput): number {
  if (first.tag !== second.tag) return first.tag < second.tag ? -1 : 1;
  return first.id < second.id ? -1 : 1;
}
