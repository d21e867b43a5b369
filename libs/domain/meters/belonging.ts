/** Which interval of a meter belongs to which collection. */
import { intervalsOf, type MeterInterval } from './intervals';
import type { Board, Meter } from './meter';
import type { Stay } from './stays';

/** A box that was emptied at a collection, as readings tell. */
export type Emptying = { readonly collectionId: string; readonly atMs: number; readonly placementId: string | null };

/** A meter with its intervals by the collection that each belongs to; what lies in the box now belongs to none. */
export type BelongingMeter = {
  readonly board: Board;
  readonly meter: Meter;
  readonly readAt: ReadonlySet<string>;
  readonly byCollection: ReadonlyMap<string, readonly MeterInterval[]>;
  /** Counts of the box of a machine that left: what was read as it did is their reading, whichever of the two came first. */
  readonly readAtRemoval: ReadonlySet<string>;
  /** Collections of which the meter counted something together with what another place took. */
  readonly mixedIn: ReadonlySet<string>;
};

export function belonging(board: Board, meter: Board['meters'][number], { emptyings, stays }: { readonly emptyings: readonly Emptying[]; readonly stays: readonly Stay[] }): BelongingMeter {
  const ownEmptyings = emptyingsOf(meter.readings);
  const byCollection = new Map<string, MeterInterval[]>();
  const mixedIn = new Set<string>();
  const readAtRemoval = new Set<string>();
  for (const interval of intervalsOf(meter, meter.readings)) {
    const endMs = interval.to.atMs;
    const stay = stayOf(interval, stays);
    const at = (list: readonly Emptying[]) => (stay === 'workshop' ? undefined : list.find(({ atMs, placementId }) => atMs >= endMs && placementId === (stay?.placementId ?? null)));
    const read = at(ownEmptyings) ?? (board.removedMs === null ? undefined : at(emptyings));
    const next = read ?? (stay === 'workshop' || stay === null ? undefined : emptiedAfter(interval.from.atMs, stay));
    const elsewhere = emptiedElsewhere(interval, stays);
    if (elsewhere.length > 0 || isAcrossPlaces(interval, stays)) for (const { collectionId } of next === undefined ? elsewhere : [...elsewhere, next]) mixedIn.add(collectionId);
    else if (next !== undefined) {
      byCollection.set(next.collectionId, [...(byCollection.get(next.collectionId) ?? []), interval]);
      if (stay !== 'workshop' && stay !== null && stay.untilMs === endMs && stay.lastEmptied !== null && stay.lastEmptied.atMs >= endMs) readAtRemoval.add(stay.lastEmptied.collectionId);
    }
  }
  return { board, meter, readAt: new Set(ownEmptyings.map(({ collectionId }) => collectionId)), byCollection, readAtRemoval, mixedIn };
}

/**
 * The stay in which a meter counted an interval; null where no placements are known. One that ends as the machine comes to
 * a site was counted before. Where nobody read the meter as it came, the interval is taken to have been counted there.
 */
function stayOf({ from, to }: MeterInterval, stays: readonly Stay[]): Stay | 'workshop' | null {
  const stay = stays.find(({ placementId }) => placementId === to.placementId);
  if (stay === undefined) return stays.length === 0 ? null : 'workshop';
  return from.placementId !== to.placementId && to.atMs <= stay.fromMs ? 'workshop' : stay;
}

/** Whether an interval was counted between two places, and is cash that no site took. */
export function isBetweenPlaces(interval: MeterInterval, stays: readonly Stay[]): boolean {
  return stays.length > 0 && stayOf(interval, stays) === 'workshop' && emptiedElsewhere(interval, stays).length === 0 && !isAcrossPlaces(interval, stays);
}

/**
 * Whether an interval began while the machine stood at another place than the one at which it ends: nobody read the meter as
 * it left, and nothing says what part of it was counted there.
 */
export function isAcrossPlaces({ from, to }: MeterInterval, stays: readonly Stay[]): boolean {
  if (from.placementId === to.placementId) return false;
  const left = stays.find(({ placementId }) => placementId === from.placementId);
  return left !== undefined && left.untilMs !== null && from.atMs < left.untilMs;
}

/**
 * Collections at other places than the one at which an interval ends, before which it had begun: nothing says what part of it is
 * theirs. A box that is counted after its machine was read as it left holds nothing of what follows that reading.
 */
function emptiedElsewhere({ from, to }: MeterInterval, stays: readonly Stay[]): { readonly collectionId: string }[] {
  if (from.placementId === to.placementId) return [];
  return stays.flatMap(({ placementId, lastEmptied, untilMs }) => (placementId === to.placementId || lastEmptied === null || Math.min(lastEmptied.atMs, untilMs ?? lastEmptied.atMs) <= from.atMs || lastEmptied.atMs >= to.atMs ? [] : [lastEmptied]));
}

/** The last emptying of a stay that is over, where an interval began before it. */
function emptiedAfter(fromMs: number, { lastEmptied, placementId }: Stay): Emptying | undefined {
  return lastEmptied === null || lastEmptied.atMs <= fromMs ? undefined : { ...lastEmptied, placementId };
}

/** Collections at which something was read, oldest first. */
export function emptyingsOf(readings: Board['meters'][number]['readings']): Emptying[] {
  const byId = new Map(readings.flatMap(({ collectionId, atMs, placementId }) => (collectionId === null ? [] : [[collectionId, { atMs, placementId }] as const])));
  return [...byId].map(([collectionId, each]) => ({ collectionId, ...each })).sort((one, other) => one.atMs - other.atMs);
}
