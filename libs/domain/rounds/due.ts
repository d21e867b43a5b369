/**
 * When a site is to be visited next: after the days of its rhythm, or earlier, when the cash in one of its boxes reaches
 * the limit that was set. No source: common practice of planning rounds.
 */
import { fromDayNumber, toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import { divideHalfUp } from '#domain/money/rounding';

/** What is known of the cash in one box, and how fast it fills. */
export type BoxFilling = {
  /** In the box at the end of `knownOn`, in minor units: 0 on the day of a collection, or what the machine reported. */
  readonly knownMinor: bigint;
  readonly knownOn: LocalDate;
  /** Counted lately over `days`; null where nobody can say how fast it fills. */
  readonly lately: { readonly takenMinor: bigint; readonly days: number } | null;
};

export type Visiting = {
  /** Days from one visit to the next; null where none were set. */
  readonly everyDays: number | null;
  /** Cash in one box, in minor units, at which the site is due whatever its rhythm; null for none. */
  readonly boxLimitMinor: bigint | null;
  /** Day of the last visit, or the one from which on a first visit is waited for. */
  readonly countedFrom: LocalDate;
  readonly boxes: readonly BoxFilling[];
};

export type Due = { readonly on: LocalDate; readonly because: 'rhythm' | 'cash' };

/** The cash that probably lies in the box at the end of `today`, rounded half-up; `null` where nobody can say. */
export function cashInBox({ knownMinor, knownOn, lately }: BoxFilling, today: LocalDate): bigint | null {
  const days = BigInt(Math.max(0, toDayNumber(today) - toDayNumber(knownOn)));
  if (lately === null || lately.days <= 0) return knownMinor > 0n || days === 0n ? knownMinor : null;
  return knownMinor + divideHalfUp({ dividend: lately.takenMinor * days, divisor: BigInt(lately.days) });
}

/** The earlier of the two days, the rhythm's when they fall together; `null` where neither is known. */
export function dueOn({ everyDays, boxLimitMinor, countedFrom, boxes }: Visiting): Due | null {
  const byRhythm = everyDays === null ? null : toDayNumber(countedFrom) + everyDays;
  const full = boxLimitMinor === null ? [] : boxes.flatMap((box) => fullOn(box, boxLimitMinor) ?? []);
  const byCash = full.length === 0 ? null : Math.min(...full);
  if (byCash !== null && (byRhythm === null || byCash < byRhythm)) return { on: fromDayNumber(byCash), because: 'cash' };
  return byRhythm === null ? null : { on: fromDayNumber(byRhythm), because: 'rhythm' };
}

/** Whole days by which a visit is late; 0 on the day itself and before it. */
export function daysOverdue({ due, today }: { readonly due: LocalDate; readonly today: LocalDate }): number {
  return Math.max(0, toDayNumber(today) - toDayNumber(due));
}

/** A box that would take longer than that is never full: its day would leave the calendar. */
const FURTHEST_DAYS = 3660n;

function fullOn({ knownMinor, knownOn, lately }: BoxFilling, limitMinor: bigint): number | null {
  const missingMinor = limitMinor - knownMinor;
  if (missingMinor <= 0n) return toDayNumber(knownOn);
  if (lately === null || lately.days <= 0 || lately.takenMinor <= 0n) return null;
  // Rounded up: on the day before, the limit is not reached.
  const days = (missingMinor * BigInt(lately.days) + lately.takenMinor - 1n) / lately.takenMinor;
  return days > FURTHEST_DAYS ? null : toDayNumber(knownOn) + Number(days);
}
