/**
 * Coins in the change tubes of a machine, as it tells them itself, against the fund that the books keep for them. The books
 * know what was filled in and emptied; what sales put into the tubes and what change took out of them only the machine knows.
 * All amounts are minor units of one currency.
 */
export interface ToldTubes {
  /** Coins in the tubes at the read-out; null where the machine tells none. */
  readonly contentsMinor: bigint | null;
  /** Each since the machine was set up; null where it tells none. */
  readonly toTubesMinor: bigint | null;
  readonly paidOutMinor: bigint | null;
  readonly paidOutByHandMinor: bigint | null;
  readonly filledMinor: bigint | null;
}

export interface TubesFacts {
  readonly now: ToldTubes;
  /** The read-out before, and what the books had filled into the fund since; null where there is none. */
  readonly before: { readonly told: ToldTubes; readonly filledMinor: bigint } | null;
  /** Of the fund at the end of the day. */
  readonly bookedMinor: bigint;
  /** The read-out of the day on which the fund was counted last; `none`: never counted, or not read out then. */
  readonly counted: ToldTubes | 'never' | 'not-read-out';
}

export type TubesUnknown = 'no-contents' | 'never-counted' | 'not-read-out-when-counted';

export interface Tubes {
  /** Coins that sales left in the tubes since the fund was counted, less change and what was let out by hand; null where nobody knows. */
  readonly keptMinor: bigint | null;
  /** Booked and kept: what should lie in the tubes. */
  readonly expectedMinor: bigint | null;
  /** Why nothing is expected; null where something is. */
  readonly unknown: TubesUnknown | null;
  /** What the machine was told to be filled with since the read-out before. */
  readonly filledToldMinor: bigint | null;
  /** Below zero: coins that should be in the tubes are not. */
  readonly contentsGapMinor: bigint | null;
  /** Told less booked. Below zero: booked as filled in, and never seen by the machine. */
  readonly fillingsGapMinor: bigint | null;
}

export function tubesOf({ now, before, bookedMinor, counted }: TubesFacts): Tubes {
  const filledToldMinor = before === null ? null : growth(now.filledMinor, before.told.filledMinor);
  const keptMinor = typeof counted === 'string' ? null : keptBetween(counted, now);
  const expectedMinor = keptMinor === null || now.contentsMinor === null ? null : bookedMinor + keptMinor;
  return {
    keptMinor,
    expectedMinor,
    unknown: counted === 'never' ? 'never-counted' : counted === 'not-read-out' ? 'not-read-out-when-counted' : expectedMinor === null ? 'no-contents' : null,
    filledToldMinor,
    contentsGapMinor: expectedMinor === null || now.contentsMinor === null ? null : now.contentsMinor - expectedMinor,
    fillingsGapMinor: before === null || filledToldMinor === null ? null : filledToldMinor - before.filledMinor,
  };
}

/** A machine without change tells of none: what it does not tell is nought. Without what went to the tubes nothing is known. */
function keptBetween(from: ToldTubes, to: ToldTubes): bigint | null {
  const inMinor = growth(to.toTubesMinor, from.toTubesMinor);
  if (inMinor === null) return null;
  return inMinor - (growth(to.paidOutMinor, from.paidOutMinor) ?? 0n) - (growth(to.paidOutByHandMinor, from.paidOutByHandMinor) ?? 0n);
}

/** Null where one is not told, or the machine was set up anew in between. */
function growth(to: bigint | null, from: bigint | null): bigint | null {
  return to === null || from === null || to < from ? null : to - from;
}
