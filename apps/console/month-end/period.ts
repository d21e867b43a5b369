import type { Cycle, PeriodRow } from '../api/shapes';

export interface PeriodKey {
  readonly cycle: Cycle;
  readonly startsOn: string;
}

const cycles: readonly string[] = ['month', 'four-weeks', 'week', 'visit'] satisfies readonly Cycle[];

/** Reads the period out of the address; null for an address that means none. */
export function periodFrom(params: Readonly<Record<string, string | undefined>>): PeriodKey | null {
  const { cycle, startsOn } = params;
  if (cycle === undefined || startsOn === undefined || !isCycle(cycle) || !/^\d{4}-\d\d-\d\d$/.test(startsOn)) return null;
  return { cycle, startsOn };
}

export function pathOfPeriod({ cycle, startsOn }: PeriodKey): string {
  return `month-end/${cycle}/${startsOn}`;
}

/**
 * The period to begin with: the newest that is over, since that is the one to close. If none is over yet, the newest.
 * `periods` come newest first.
 */
export function periodToBeginWith(periods: readonly PeriodRow[], today: string): PeriodRow | null {
  return periods.find((each) => each.endsBefore <= today) ?? periods[0] ?? null;
}

/** Neighbours of the same cycle, for going back and forth. */
export function neighbours(periods: readonly PeriodRow[], { cycle, startsOn }: PeriodKey) {
  const ofCycle = periods.filter((each) => each.cycle === cycle);
  const at = ofCycle.findIndex((each) => each.startsOn === startsOn);
  return { earlier: at === -1 ? null : (ofCycle[at + 1] ?? null), later: at <= 0 ? null : (ofCycle[at - 1] ?? null) };
}

function isCycle(text: string): text is Cycle {
  return cycles.includes(text);
}
