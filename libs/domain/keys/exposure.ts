/**
 * The cash that probably lies in a box: what it took per day lately, for each day since it was last emptied. No source:
 * common practice for a box without a device that reports what is in it.
 */
import { divideHalfUp } from '#domain/money/rounding';

export type LatelyTaken = {
  /** Sum of the counts of some days that end with the last collection. */
  readonly takenMinor: bigint;
  /** The days that these counts cover; zero where the only count was made on the day that the machine was placed. */
  readonly days: number;
  /** Whole days since the last collection. */
  readonly daysSince: number;
};

export type CashExposed = { readonly exposedMinor: bigint; readonly perDayMinor: bigint };

/** `null` where no count covers a day: then nobody can say. Each figure is rounded half-up once, from the exact value. */
export function cashExposed({ takenMinor, days, daysSince }: LatelyTaken): CashExposed | null {
  if (days <= 0) return null;
  const divisor = BigInt(days);
  return {
    exposedMinor: divideHalfUp({ dividend: takenMinor * BigInt(Math.max(daysSince, 0)), divisor }),
    perDayMinor: divideHalfUp({ dividend: takenMinor, divisor }),
  };
}
