/**
 * How old what is open is at a day. Amounts are signed minor units of one currency: above zero the operator owes the
 * payee, below zero the payee owes the operator. The two sides are never set against each other: an old debt does not
 * grow young because the other side owes something, too.
 */
import { toDayNumber, type LocalDate } from '#domain/calendar/local-date';

/** Days since an item fell due, both ends included; null: no end. */
export const ageBuckets = [
  { fromDays: 0, toDays: 30 },
  { fromDays: 31, toDays: 60 },
  { fromDays: 61, toDays: 90 },
  { fromDays: 91, toDays: null },
] as const;

export type AgeBucket = (typeof ageBuckets)[number];

export interface ItemToAge {
  readonly dueOn: LocalDate;
  readonly openMinor: bigint;
}

export interface AgedBucket {
  readonly bucket: AgeBucket;
  /** Zero or above. */
  readonly toPayeeMinor: bigint;
  /** Zero or below. */
  readonly fromPayeeMinor: bigint;
}

/** Days from the day on which something fell due to another; below zero while it is not due yet. */
export function ageDays(dueOn: LocalDate, on: LocalDate): number {
  return toDayNumber(on) - toDayNumber(dueOn);
}

/** Every bucket, the youngest first; what is not due yet counts as due today. The buckets sum to the items. */
export function ageing(items: readonly ItemToAge[], on: LocalDate): AgedBucket[] {
  return ageBuckets.map((bucket) => {
    const own = items.filter(({ dueOn }) => bucketOf(ageDays(dueOn, on)) === bucket);
    return {
      bucket,
      toPayeeMinor: sum(own.map(({ openMinor }) => (openMinor > 0n ? openMinor : 0n))),
      fromPayeeMinor: sum(own.map(({ openMinor }) => (openMinor < 0n ? openMinor : 0n))),
    };
  });
}

function bucketOf(days: number): AgeBucket {
  return ageBuckets.find(({ toDays }) => toDays === null || days <= toDays) ?? ageBuckets[3];
}

function sum(amounts: readonly bigint[]): bigint {
  return amounts.reduce((total, minor) => total + minor, 0n);
}
