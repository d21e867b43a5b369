/** What a tax rule is computed on: the net takings of the machines it covers, in the days it is in force. */
import { unionOfDays, type Days, type DaySet } from '#domain/calendar/day-ranges';
import { coversKind } from '#domain/tax/kinds';
import type { TaxRule } from '#domain/tax/types';
import { netTakingsOf, type MachineCells } from '#domain/settlement/cells';
import type { GroupRun } from '#domain/settlement/group-runs';
import { isInForce, type Cut } from '#domain/settlement/segments';
import type { MachineInput } from '#domain/settlement/types';

export interface MachineBase {
  readonly machine: MachineInput;
  readonly netMinor: bigint;
  /** Net takings with or without stolen cash, as the rule says. */
  readonly baseMinor: bigint;
  /** Net takings under the rule per run, for the way from the machine to the groups; null where it has nothing under it. */
  readonly netByRun: readonly (bigint | null)[];
  /** Days covered by its counts under this rule. */
  readonly days: () => DaySet;
  /** Keys of its net takings, for explanations. */
  readonly lineKeys: () => string[];
}

export interface RuleReach {
  readonly cut: Cut;
  readonly machines: readonly MachineCells[];
  readonly runs: readonly GroupRun[];
}

/** One base per covered machine in which something happened under the rule, by tag. */
export function basesOf(rule: TaxRule, { cut, machines, runs }: RuleReach): MachineBase[] {
  const inForce = cut.segments.map((segment) => isInForce(rule, segment));
  if (!inForce.includes(true)) return [];
  const runOfSegment = cut.segments.map((segment) => runs.findIndex((run) => run.group === cut.groups[segment.groupIndex]));
  const bases: MachineBase[] = [];
  for (const { machine, cells } of machines) {
    if (!coversKind(rule.machineKinds, machine.kind)) continue;
    let netMinor = 0n;
    let baseMinor = 0n;
    let happened = false;
    const netByRun = runs.map((): bigint | null => null);
    cells.forEach((cell, index) => {
      if (cell === null || inForce[index] !== true) return;
      const net = netTakingsOf(cell);
      const run = runOfSegment[index] ?? 0;
      happened = true;
      netMinor += net;
      baseMinor += net - cell.madeGoodMinor + (rule.breakIns === 'in-base' ? cell.stolenMinor : 0n);
      netByRun[run] = (netByRun[run] ?? 0n) + net;
    });
    const days = (): DaySet => {
      const covered: Days[] = [];
      cells.forEach((cell, index) => {
        if (cell !== null && inForce[index] === true) for (const range of cell.covered) covered.push(range);
      });
      return unionOfDays(covered);
    };
    const lineKeys = (): string[] => {
      const touched = new Set(cells.flatMap((cell, index) => (cell !== null && inForce[index] === true ? [runOfSegment[index] ?? 0] : [])));
      return [...touched].flatMap((run) => (runs[run] === undefined ? [] : [`takings/${runs[run].group.number}/${machine.id}/net-takings`]));
    };
    if (happened) bases.push({ machine, netMinor, baseMinor, netByRun, days, lineKeys });
  }
  return bases;
}
