/**
 * Meters of a counter board and what is read off them. Moments are milliseconds that only have to grow; the caller knows
 * of what clock.
 */

/** What a meter counts. `refunds`: what the machine itself paid back. */
export const meterTenders = ['coin', 'note', 'plays', 'test-plays', 'refunds'] as const;
export type MeterTender = (typeof meterTenders)[number];

/**
 * Tenders in which cash lies in a box. A shortage of coins is never made up by notes; `cash` is both together, where nothing that was
 * read tells them apart.
 */
export const cashTenders = ['coin', 'note', 'cash'] as const;
export type CashTender = (typeof cashTenders)[number];

/** A value of one unit, in minor units, from a moment on: a price per play changes, a coin does not. */
export type UnitValue = { readonly fromMs: number; readonly minor: bigint };

export type Meter = {
  readonly id: string;
  readonly tender: MeterTender;
  /** The meter of the same board whose cash it counts again, as a mechanical counter beside an electronic one does: a witness, in no sum. Null for every other. */
  readonly secondOf: string | null;
  /** How many values it can show, see {@link capacityOf}; the one after the last is 0. */
  readonly capacity: bigint;
  /** Rising by moment; the first holds from the first reading on. */
  readonly unitValues: readonly UnitValue[];
  /** Moments at which its board was opened or cleared and nobody read it: from what to what it was set back then is not known. */
  readonly openedMs: readonly number[];
  /** More units than this in an hour the machine cannot earn. */
  readonly mostPerHour: bigint;
};

/** `before` and `after` belong to one moment at which a board was open: what lies between them is no play. */
export type ReadingPhase = 'before' | 'only' | 'after';

export type Reading = {
  readonly id: string;
  readonly atMs: number;
  readonly phase: ReadingPhase;
  readonly value: bigint;
  /** A second person looked at it again and it stands. */
  readonly confirmed: boolean;
  /** A second person says that the meter passed its last value since the reading before. */
  readonly passedEnd: boolean;
  /** The collection at which the box was emptied and this was read; null for every other occasion. */
  readonly collectionId: string | null;
  /** The placement at which the machine stood; null where it stood at no site, as in the workshop. */
  readonly placementId: string | null;
};

/** A board with its meters, in one machine from when it was fitted until it was taken out (`null`: still in it). */
export type Board = {
  readonly id: string;
  readonly fittedMs: number;
  readonly removedMs: number | null;
  readonly meters: readonly (Meter & { readonly readings: readonly Reading[] })[];
};

/** The values of an electronic counter of 32 bits; a mechanical one has 10 to the power of its digits. */
export const electronicCapacity = 2n ** 32n;

/** How many values a meter of so many digits shows; `null` digits: an electronic counter of 32 bits. */
export function capacityOf(digits: number | null): bigint {
  return digits === null ? electronicCapacity : 10n ** BigInt(digits);
}

/** The value of a unit at a moment, in minor units. */
export function unitValueAt(meter: Pick<Meter, 'unitValues'>, atMs: number): bigint {
  const inForce = meter.unitValues.filter(({ fromMs }) => fromMs <= atMs).at(-1) ?? meter.unitValues[0];
  return inForce?.minor ?? 0n;
}
