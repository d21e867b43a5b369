/**
 * Which days of which machine were settled before. An amount per week for a whole pool is charged for the days covered
 * by any of its counts, but no day is charged twice; the record is kept per machine, so that it stays true when the
 * pools are formed anew.
 */
import { fromDayNumber, toDayNumber } from '#domain/calendar/local-date';
import { unionOfDays, type Days, type DaySet } from '#domain/calendar/day-ranges';
import type { CoveredDays, MachineInput } from '#domain/settlement/types';

export interface CoveredMachine {
  readonly machineId: string;
  readonly kind: string;
  readonly days: DaySet;
}

/** By machine id. */
export type CoveredSoFar = Map<string, CoveredMachine>;

export function readCovered(carried: readonly CoveredDays[]): CoveredSoFar {
  return new Map(
    carried.map(({ machineId, kind, ranges }) => {
      const days = unionOfDays(ranges.map((range) => ({ from: toDayNumber(range.from), until: toDayNumber(range.until) })));
      return [machineId, { machineId, kind, days }];
    }),
  );
}

export function writeCovered(covered: CoveredSoFar): CoveredDays[] {
  return [...covered.values()]
    .sort((first, second) => (first.machineId < second.machineId ? -1 : 1))
    .map(({ machineId, kind, days }) => ({
      machineId,
      kind,
      ranges: days.map((range) => ({ from: fromDayNumber(range.from), until: fromDayNumber(range.until) })),
    }));
}

export function cover(covered: CoveredSoFar, machine: MachineInput, days: DaySet): void {
  if (days.length === 0) return;
  const before = covered.get(machine.id)?.days ?? [];
  covered.set(machine.id, { machineId: machine.id, kind: machine.kind, days: unionOfDays([...before, ...days]) });
}

/** All days that any of the chosen machines has had settled. */
export function coveredBy(covered: ReadonlyMap<string, CoveredMachine>, chosen: (machine: CoveredMachine) => boolean): DaySet {
  const ranges: Days[] = [];
  for (const machine of covered.values()) if (chosen(machine)) for (const range of machine.days) ranges.push(range);
  return unionOfDays(ranges);
}
