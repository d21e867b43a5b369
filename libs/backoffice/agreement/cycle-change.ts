import type { LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import type { Cycle } from '#domain/terms/types';

export type CycleFrom = { readonly effectiveFrom: LocalDate; readonly cycle: Cycle };

/**
 * Whether versions would cut time in a way that no list of periods can follow: another cycle begins within a period of
 * either, or periods that exist already were cut by another cycle. Terms may change on any day, their cycle only where
 * one period ends and the next begins.
 */
export function cutsWithinPeriods(input: {
  /** All versions that shall stand, in any order. */
  readonly versions: readonly CycleFrom[];
  readonly periods: readonly { readonly starts_on: LocalDate; readonly ends_before: LocalDate }[];
}): boolean {
  const versions = [...input.versions].sort((one, other) => (one.effectiveFrom < other.effectiveFrom ? -1 : 1));
  const changesWithin = versions.some(({ effectiveFrom, cycle }, index) => {
    const before = versions[index - 1]?.cycle;
    if (before === undefined || sameCycle(before, cycle)) return false;
    return [before, cycle].some((each) => periodContaining(each, effectiveFrom).from !== effectiveFrom);
  });
  return changesWithin || input.periods.some((period) => !isCutBy(versions, period));
}

function isCutBy(versions: readonly CycleFrom[], period: { readonly starts_on: LocalDate; readonly ends_before: LocalDate }): boolean {
  // The first period may have begun before the first version did: periods are whole.
  const inForce = versions.findLast((version) => version.effectiveFrom <= period.starts_on) ?? versions[0];
  if (inForce === undefined) return true;
  const cut = periodContaining(inForce.cycle, period.starts_on);
  return cut.from === period.starts_on && cut.until === period.ends_before;
}

/** Whether two cycles cut alike. Four-week anchors that lie whole periods apart do. */
export function sameCycle(one: Cycle, other: Cycle): boolean {
  if (one.kind === 'four-weeks' && other.kind === 'four-weeks') return periodContaining(one, other.anchor).from === other.anchor;
  if (one.kind === 'week' && other.kind === 'week') return one.startsOnWeekday === other.startsOnWeekday;
  return one.kind === other.kind;
}
