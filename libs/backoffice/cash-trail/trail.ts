import type { CashTrail, CashTrailQuery } from '#contracts/cash-trail';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Gap } from '#domain/cash-trail/trail';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectBagsOfDays } from './bag.sql';
import { toBag } from './bags';
import { toMove } from './move';
import { selectBalance, selectMovesOfDays } from './move.sql';
import { currenciesOf, roomOfDay, roundsOf, type OfDay, type WalkedRound } from './of-day';
import { tubesOfDay } from './tubes';
import { selectTrailCollections } from './trail.sql';

/** The cash of a day from the boxes to the bank, with each gap and its holder. Only accepted collections have figures. */
export async function readCashTrail(deps: Backoffice, caller: Caller, query: CashTrailQuery): Promise<Outcome<CashTrail>> {
  return perform<CashTrail>(deps, caller, 'cash-trail.read', async ({ tx }) => {
    const { day } = query;
    const days = { from: day, to: day };
    const collections = await selectTrailCollections(tx, days);
    const moves = await selectMovesOfDays(tx, days);
    const bags = await selectBagsOfDays(tx, days);
    const facts = { day, collections, bags, moves: moves.filter((move) => move.taken_back === null) };
    const rounds = roundsOf(facts);
    const rooms = [];
    for (const currency of currenciesOf(facts, rounds)) rooms.push(await roomBody(tx, { facts, rounds, currency }));
    const siteCodes = new Map(collections.map(({ id, site_code: siteCode }) => [id, siteCode]));
    return done({ day, rounds: rounds.map((each) => toRound(each, siteCodes)), rooms, tubes: await tubesOfDay(tx, day), bags: bags.map(toBag), moves: moves.map(toMove) });
  });
}

async function roomBody(tx: TenantTransaction, { facts, rounds, currency }: { readonly facts: OfDay; readonly rounds: readonly WalkedRound[]; readonly currency: CurrencyCode }): Promise<CashTrail['rooms'][number]> {
  const room = roomOfDay(facts, { rounds, currency });
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

export function toGap(gap: Gap, currency: CurrencyCode, siteCode: string | null): CashTrail['rounds'][number]['gaps'][number] {
  return { kind: gap.kind, collectionId: gap.collectionId, siteCode, amount: moneyOf(gap.amountMinor, currency), holder: gap.holder };
}
