import type { LocalDate } from '#domain/calendar/local-date';
import type { Gap } from './trail';

export interface DatedGap extends Gap {
  readonly day: LocalDate;
  /** Whose cash it is, and in which currency: only within it is one gap set off against another. */
  readonly of: string;
}

/**
 * What of the gaps of many days is still open: cash that lacked on one day and came on another (a float brought back the next morning, the cash of a
 * week paid in at once) is no gap any more. The oldest is set off first, and what is left keeps its day. What lacks in the bags of one
 * site is never made good by what is over at another. `gaps` in order of days.
 */
export function stillOpen<Each extends DatedGap>(gaps: readonly Each[]): Each[] {
  const left = gaps.map(({ amountMinor }) => amountMinor);
  const minorAt = (at: number): bigint => left[at] ?? 0n;
  for (const [at, gap] of gaps.entries()) {
    if (gap.kind === 'bags') continue;
    for (const [before, earlier] of gaps.slice(0, at).entries()) {
      if (earlier.kind !== gap.kind || earlier.of !== gap.of || minorAt(at) * minorAt(before) >= 0n) continue;
      const setOffMinor = leastOf(magnitude(minorAt(at)), magnitude(minorAt(before)));
      const sign = minorAt(at) > 0n ? 1n : -1n;
      left[at] = minorAt(at) - sign * setOffMinor;
      left[before] = minorAt(before) + sign * setOffMinor;
    }
  }
  return gaps.flatMap((gap, at) => (minorAt(at) === 0n ? [] : [{ ...gap, amountMinor: minorAt(at) }]));
}

const magnitude = (minor: bigint): bigint => (minor < 0n ? -minor : minor);
const leastOf = (one: bigint, other: bigint): bigint => (one < other ? one : other);
