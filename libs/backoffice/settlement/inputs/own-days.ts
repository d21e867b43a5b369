import type { LocalDate } from '#domain/calendar/local-date';
import type { SettlementKind } from '#domain/settlement/inputs';

type Held = { readonly started_on: string; readonly ended_on: string | null };
type Days = { readonly starts_on: string; readonly ends_before: string };

/**
 * The days of a period on which the agreement holds. A site that is sold within it has two agreements, each with its own
 * days. After the agreement's end there are none: such a period settles only what turned up later.
 */
export function ownDays(agreement: Held, period: Days): { from: LocalDate; before: LocalDate } {
  if (isAfterEnd(agreement, period)) return { from: period.starts_on as LocalDate, before: period.ends_before as LocalDate };
  const from = agreement.started_on > period.starts_on ? agreement.started_on : period.starts_on;
  const before = agreement.ended_on !== null && agreement.ended_on < period.ends_before ? agreement.ended_on : period.ends_before;
  return { from: from as LocalDate, before: before as LocalDate };
}

export function isAfterEnd(agreement: Held, period: Days): boolean {
  return agreement.ended_on !== null && agreement.ended_on <= period.starts_on;
}

/**
 * The settlement with the agreement's last day ends it, or the first that follows where that one had its number before the
 * end was known; later ones pay what turned up since.
 */
export function kindOf(target: Held & Days & { readonly finally_settled: boolean }): SettlementKind {
  if (isAfterEnd(target, target)) return target.finally_settled ? 'supplementary' : 'final';
  return target.ended_on !== null && target.ended_on <= target.ends_before ? 'final' : 'regular';
}
