import type { CashTrail, CashTrailQuery } from '#contracts/cash-trail';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { roomOf, roundOf, type Gap, type Round } from '#domain/cash-trail/trail';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { selectBagsOfDay, type BagRow } from './bag.sql';
import { toBag, toFacts } from './bags';
import { toMove } from './move';
import { selectBalance, selectMovesOfDay, type MoveRow } from './move.sql';
import { tubesOfDay } from './tubes';
import { selectTrailCollections, type TrailCollectionRow } from './trail.sql';

type OfDay = { readonly day: string; readonly collections: readonly TrailCollectionRow[]; readonly moves: readonly MoveRow[]; readonly bags: readonly BagRow[] };
type WalkedRound = { readonly collectorId: string | null; readonly collectorName: string; readonly currency: CurrencyCode; readonly collections: number; readonly round: Round };

/** The cash of a day from the boxes to the bank, with each gap and its holder. Only accepted collections have figures. */
export async function readCashTrail(deps: Backoffice, caller: Caller, query: CashTrailQuery): Promise<Outcome<CashTrail>> {
  return perform<CashTrail>(deps, caller, 'cash-trail.read', async ({ tx }) => {
    const { day } = query;
    const collections = await selectTrailCollections(tx, day);
    const moves = await selectMovesOfDay(tx, day);
    const bags = await selectBagsOfDay(tx, day);
    const facts = { day, collections, bags, moves: moves.filter((move) => move.taken_back === null) };
    const rounds = roundsOf(facts);
    const currencies = [...new Set([...rounds.map(({ currency }) => currency), ...facts.moves.map(({ currency }) => currency)])].sort();
    const rooms = [];
    for (const currency of currencies) rooms.push(await roomBody(tx, { facts, rounds, currency }));
    const siteCodes = new Map(collections.map(({ id, site_code: siteCode }) => [id, siteCode]));
    return done({ day, rounds: rounds.map((each) => toRound(each, siteCodes)), rooms, tubes: await tubesOfDay(tx, day), bags: bags.map(toBag), moves: moves.map(toMove) });
  });
}

function roundsOf({ day, collections, moves, bags }: OfDay): WalkedRound[] {
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

async function roomBody(tx: TenantTransaction, { facts, rounds, currency }: { readonly facts: OfDay; readonly rounds: readonly WalkedRound[]; readonly currency: CurrencyCode }): Promise<CashTrail['rooms'][number]> {
  const moves = facts.moves.filter((move) => move.currency === currency);
  const sum = (isOne: (move: MoveRow) => boolean) => moves.reduce((total, move) => (isOne(move) ? total + move.amount_minor : total), 0n);
  const ofRoom = (kind: MoveRow['kind']) => sum((move) => move.kind === kind && move.moved_on === facts.day && move.collector_id === null && move.collection_id === null);
  const room = roomOf({
    rounds: rounds.filter((each) => each.currency === currency).map(({ round }) => round),
    floatGivenMinor: sum((move) => move.kind === 'float-given' && move.moved_on === facts.day),
    filledMinor: ofRoom('fund-filled'),
    emptiedMinor: ofRoom('fund-emptied'),
    paidInMinor: sum((move) => move.kind === 'paid-in' && move.counted_on === facts.day),
  });
  const money = (minor: bigint) => moneyOf(minor, currency);
  return {
    currency,
    found: money(room.foundMinor),
    handedIn: money(room.handedInMinor),
    floatReturned: money(room.floatReturnedMinor),
    floatGiven: money(room.floatGivenMinor),
    filled: money(room.filledMinor),
    emptied: money(room.emptiedMinor),
    toPayIn: money(room.toPayInMinor),
    paidIn: money(room.paidInMinor),
    gap: room.gap === null ? null : toGap(room.gap, currency, null),
    balance: money(await selectBalance(tx, { accountCode: 'cash-in-counting-room', currency, day: facts.day })),
  };
}

function toRound({ collectorId, collectorName, currency, collections, round }: WalkedRound, siteCodes: ReadonlyMap<string, string>): CashTrail['rounds'][number] {
  const money = (minor: bigint) => moneyOf(minor, currency);
  return {
    collectorId,
    collectorName,
    currency,
    float: money(round.floatMinor),
    removed: money(round.removedMinor),
    handed: money(round.handedMinor),
    refunds: money(round.refundsMinor),
    filled: money(round.filledMinor),
    toBring: money(round.toBringMinor),
    found: money(round.foundMinor),
    toHandIn: money(round.toHandInMinor),
    handedIn: round.handedInMinor === null ? null : money(round.handedInMinor),
    floatReturned: money(round.floatReturnedMinor),
    difference: money(round.differenceMinor),
    collections,
    notCountedAtMachine: round.notCountedAtMachine,
    waiting: round.waiting,
    gaps: round.gaps.map((gap) => toGap(gap, currency, siteCodes.get(gap.collectionId ?? '') ?? null)),
  };
}

function toGap(gap: Gap, currency: CurrencyCode, siteCode: string | null): CashTrail['rounds'][number]['gaps'][number] {
  return { kind: gap.kind, collectionId: gap.collectionId, siteCode, amount: moneyOf(gap.amountMinor, currency), holder: gap.holder };
}
