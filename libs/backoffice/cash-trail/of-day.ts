import { roomOf, roundOf, type Room, type Round } from '#domain/cash-trail/trail';
import type { CurrencyCode } from '#domain/money/currency';
import { groupBy } from '../settlement/inputs/group-by';
import type { BagRow } from './bag.sql';
import { toFacts } from './bags';
import type { MoveRow } from './move.sql';
import type { TrailCollectionRow } from './trail.sql';

/** What is on record of a day; moves without those that were taken back. */
export type OfDay = { readonly day: string; readonly collections: readonly TrailCollectionRow[]; readonly moves: readonly MoveRow[]; readonly bags: readonly BagRow[] };
export type WalkedRound = { readonly collectorId: string | null; readonly collectorName: string; readonly currency: CurrencyCode; readonly collections: number; readonly round: Round };

/** A round for each collector and currency. */
export function roundsOf({ day, collections, moves, bags }: OfDay): WalkedRound[] {
  const bagsOf = groupBy(bags, (bag) => bag.collection_id);
  // What is handed in belongs to the day of its visits, and everything else to its own.
  const today = moves.filter((move) => (move.kind === 'handed-in' ? move.counted_on : move.moved_on) === day && move.collector_id !== null);
  const keyOf = (of: { readonly collector_id: string | null; readonly currency: CurrencyCode }): string => `${of.collector_id ?? ''} ${of.currency}`;
  const ownCollections = groupBy(collections, keyOf);
  const ownMoves = groupBy(today, keyOf);
  return [...new Set([...collections.map(keyOf), ...today.map(keyOf)])].flatMap((key) => {
    const [own, moved] = [ownCollections.get(key) ?? [], ownMoves.get(key) ?? []];
    const first = own[0] ?? moved[0];
    if (first === undefined) return [];
    const received = moves.filter((move) => move.kind === 'handed-in' && move.counted_on === day && keyOf(move) === key);
    const sum = (kind: MoveRow['kind']) => moved.reduce((total, move) => (move.kind === kind ? total + move.amount_minor : total), 0n);
    const round = roundOf({
      floatGivenMinor: sum('float-given'),
      floatReturnedMinor: sum('float-returned'),
      filledFromFloatMinor: sum('fund-filled'),
      emptiedIntoFloatMinor: sum('fund-emptied'),
      handedInMinor: received.length === 0 ? null : received.reduce((total, move) => total + move.amount_minor, 0n),
      collections: own.map((row) => ({
        collectionId: row.id,
        removedMinor: row.removed_minor,
        countedMinor: row.counted_minor,
        withCollectorMinor: row.with_collector_minor,
        handedMinor: row.handed_minor,
        refundsMinor: row.refunds_minor,
        filledMinor: row.filled_minor,
        bags: (bagsOf.get(row.id) ?? []).map(toFacts),
      })),
    });
    return [{ collectorId: first.collector_id, collectorName: first.collector_name ?? '', currency: first.currency, collections: own.length, round }];
  });
}

/** Every currency in which cash was collected or moved. */
export function currenciesOf({ moves }: OfDay, rounds: readonly WalkedRound[]): CurrencyCode[] {
  return [...new Set([...rounds.map(({ currency }) => currency), ...moves.map(({ currency }) => currency)])].sort();
}

export function roomOfDay(facts: OfDay, of: { readonly rounds: readonly WalkedRound[]; readonly currency: CurrencyCode }): Room {
  const moves = facts.moves.filter((move) => move.currency === of.currency);
  const sum = (isOne: (move: MoveRow) => boolean) => moves.reduce((total, move) => (isOne(move) ? total + move.amount_minor : total), 0n);
  const ofRoom = (kind: MoveRow['kind']) => sum((move) => move.kind === kind && move.moved_on === facts.day && move.collector_id === null && move.collection_id === null);
  return roomOf({
    rounds: of.rounds.filter((each) => each.currency === of.currency).map(({ round }) => round),
    floatGivenMinor: sum((move) => move.kind === 'float-given' && move.moved_on === facts.day),
    filledMinor: ofRoom('fund-filled'),
    emptiedMinor: ofRoom('fund-emptied'),
    paidInMinor: sum((move) => move.kind === 'paid-in' && move.counted_on === facts.day),
  });
}
