/**
 * The cash that meters say lay in a box when it was emptied, per tender: what went in, less test plays, less what the
 * machine paid back. Coins and notes are never netted, where meters know them: plays are paid in either, so that a board which
 * counts plays alone tells of the cash as a whole.
 *
 * A box holds what went in since it was last emptied, so each interval of a meter belongs to the first collection at or
 * after its end at which that meter was read; an interval of a board that was taken out belongs to the next collection of
 * the machine. Nothing belongs to two, and nothing is lost, however often boards were changed.
 *
 * A tender of which one meter was not read at a collection is expected at the next one at which all of them were, over the whole time
 * since they last were: what the others counted by then waits with it. Else a box would be held against a part of what went into it.
 *
 * No collection holds what a machine counted elsewhere: an interval that ends with a stay at a site belongs to the last
 * collection there, and what is played between two sites, in the workshop, belongs to none.
 */
import { belonging, emptyingsOf, type Emptying } from './belonging';
import type { MeterInterval } from './intervals';
import { cashTenders, type Board, type CashTender } from './meter';
import { partOf, type Part } from './part';
import { inOneTender, isOpen, shareOf, together, waitingOf, type Share, type Told } from './shares';
import type { Stay } from './stays';

/**
 * Why an amount cannot be said. `not-read`: a meter of the tender was not read at this collection; `first-reading`: not before at this place;
 * `price-unread`: not when what its units are worth changed; `board-unread`: not when its board was opened or cleared.
 */
export type Unknown = 'not-read' | 'first-reading' | 'reset-or-wrong' | 'rollover-or-reset' | 'above-ceiling' | 'price-unread' | 'board-unread';

export type ExpectedCash = {
  readonly collectionId: string;
  readonly tender: CashTender;
  /** What went in since `sinceMs`. Minor units; null where `unknown` says why. Below zero where more was paid back than went in. */
  readonly expectedMinor: bigint | null;
  readonly unknown: readonly Unknown[];
  /** Value of the intervals that belong to this collection alone and are known. Where a meter was only not read, the rest comes with its next reading. */
  readonly knownMinor: bigint;
  /** Why that is not all that belongs to it. */
  readonly unknownHere: readonly Unknown[];
  /** The machine was moved and a meter not read at it: what that counted cannot be parted between two places, so that not even a part is known. */
  readonly mixed: boolean;
  /** The least that one round more of one of its meters would be worth, where that could have gone unseen; null where none could. */
  readonly unseenRoundMinor: bigint | null;
  /** The earliest reading that it counts from: earlier than the last collection where a meter was not read then. */
  readonly sinceMs: number;
  /** The price of the plays that were no test, where a board counts plays beside cash: a second witness, in no sum, told once for a collection. */
  readonly playsMinor: bigint | null;
  /** By the second counters, where a board has such; null where one of them cannot be held beside its first over the same time. */
  readonly second: SecondCounters | null;
};

export type SecondCounters = {
  /** What would be expected if each second counter stood in the place of its first. */
  readonly expectedMinor: bigint;
  /** By how much counters of the same cash are apart: added up pair by pair, and never set off. */
  readonly apartMinor: bigint;
};

/**
 * Expected cash of one machine, for every collection that its meters tell something of, oldest first: one of them was read
 * then, or at the removal after the last.
 */
export function expectedCashOf(boards: readonly Board[], stays: readonly Stay[]): ExpectedCash[] {
  const read = emptyingsOf(boards.flatMap(({ meters }) => meters.flatMap(({ readings }) => readings)));
  const last = stays.flatMap(({ lastEmptied, placementId }) => (lastEmptied === null ? [] : [{ ...lastEmptied, placementId }]));
  const unread = last.filter(({ collectionId }) => read.every((each) => each.collectionId !== collectionId));
  const meters = boards.flatMap((board) => board.meters.map((meter) => ({ ...belonging(board, meter, { emptyings: read, stays }), part: partOf(meter, board) })));
  const isTold = ({ collectionId }: Emptying) => meters.some(({ byCollection, mixedIn }) => byCollection.has(collectionId) || mixedIn.has(collectionId));
  const emptyings = [...read, ...unread.filter(isTold)].sort((one, other) => one.atMs - other.atMs);
  let waiting: readonly Share[] = [];
  let lastPlacementId: string | null = null;
  return emptyings.flatMap((emptying) => {
    // What waits for a meter of a machine that left the place is told by no later box.
    const before = emptying.placementId === lastPlacementId ? waiting : [];
    const shares = inOneTender(together(before, meters.flatMap((meter) => shareOf(meter, emptying))));
    const tenders = cashTenders.filter((tender) => shares.some(({ part }) => part?.tender === tender));
    [waiting, lastPlacementId] = [waitingOf(shares, tenders), emptying.placementId];
    return tenders.map((tender, place) => {
      const own = shares.flatMap(({ part, ...share }) => (part?.tender === tender ? [{ ...share, part }] : []));
      const expected = expectedOf(own, { tender, emptying, shares });
      return { ...expected, playsMinor: place === 0 ? playedOf(shares, expected.sinceMs) : null };
    });
  });
}

/** What intervals of one tender come to as far as they are known, and why that is not all. */
function sumUp(told: readonly (Pick<Told, 'intervals' | 'read'> & { readonly part: Part })[]): { readonly minor: bigint; readonly unknown: ReadonlySet<Unknown> } {
  const unknown = new Set<Unknown>();
  let minor = 0n;
  for (const { part, intervals, read } of told) {
    if (read !== 'read') unknown.add(read);
    for (const { difference, valueMinor, acrossPrices, acrossOpening } of intervals) {
      if (acrossOpening) unknown.add('board-unread');
      else if (difference.kind === 'reset-or-wrong' || difference.kind === 'rollover-or-reset' || difference.kind === 'above-ceiling') unknown.add(difference.kind);
      else if (acrossPrices) unknown.add('price-unread');
      minor += part.sign * (valueMinor ?? 0n);
    }
  }
  return { minor, unknown };
}

function expectedOf(own: readonly (Share & { readonly part: Part })[], { tender, emptying, shares }: { readonly tender: CashTender; readonly emptying: Emptying; readonly shares: readonly Share[] }): Omit<ExpectedCash, 'playsMinor'> {
  const ownHere = own.flatMap((share) => (share.here === null ? [] : [{ ...share.here, part: share.part }]));
  const here = sumUp(ownHere);
  // While it waits it says why of this emptying alone, however far back the readings go that are known here.
  const told = isOpen(own) ? ownHere : own;
  const whole = sumUp(told);
  // Coins that waited, and are told with notes now, are not what was counted with those notes.
  const unknown = new Set<Unknown>([...whole.unknown, ...(!isOpen(own) && own.some(({ waitedAs }) => waitedAs !== null && waitedAs !== tender) ? (['not-read'] as const) : [])]);
  const apart = unknown.size === 0 ? apartOf(own, shares) : null;
  return {
    collectionId: emptying.collectionId,
    tender,
    expectedMinor: unknown.size === 0 ? whole.minor : null,
    unknown: [...unknown].sort(),
    knownMinor: here.minor,
    unknownHere: [...here.unknown].sort(),
    mixed: own.some((share) => share.here?.mixed === true),
    unseenRoundMinor: own.flatMap(({ part, intervals }) => (part.sign < 0n ? [] : intervals.flatMap(({ unseenRoundMinor: round }) => round ?? []))).reduce<bigint | null>((least, each) => (least === null || each < least ? each : least), null),
    sinceMs: startOf(told) ?? emptying.atMs,
    second: apart === null ? null : { expectedMinor: whole.minor + apart.reduce((sum, each) => sum + each, 0n), apartMinor: apart.reduce((sum, each) => sum + (each < 0n ? -each : each), 0n) },
  };
}

/** The earliest reading that meters count from. */
function startOf(shares: readonly Pick<Share, 'intervals'>[]): number | null {
  const starts = shares.flatMap(({ intervals }) => intervals.map(({ from }) => from.atMs));
  return starts.length === 0 ? null : starts.reduce((earliest, each) => Math.min(earliest, each));
}

/** Second counters less their firsts, pair by pair; null where there is no pair, or one that was not read over the same time. */
function apartOf(own: readonly Share[], shares: readonly Share[]): bigint[] | null {
  const pairs = own.flatMap((first) => shares.flatMap((second) => (second.meter.secondOf === first.meter.id ? [{ first, second }] : [])));
  const apart = pairs.map(({ first, second }) => {
    const [one, other] = [sumOf(first.intervals), sumOf(second.intervals)];
    return second.read === 'read' && isSameTime(first.intervals, second.intervals) && one !== null && other !== null ? other - one : null;
  });
  const known = apart.flatMap((each) => (each === null ? [] : [each]));
  return pairs.length === 0 || known.length < pairs.length ? null : known;
}

function isSameTime(one: readonly MeterInterval[], other: readonly MeterInterval[]): boolean {
  const [first, last, otherFirst, otherLast] = [one[0], one.at(-1), other[0], other.at(-1)];
  return first?.from.atMs === otherFirst?.from.atMs && last?.to.atMs === otherLast?.to.atMs;
}

/**
 * The price of what was played on boards that count plays beside cash; tests are no play that anybody paid for. Null where it was not read
 * over the time that the cash is counted from.
 */
function playedOf(shares: readonly Share[], sinceMs: number): bigint | null {
  const played = shares.filter(({ meter, part }) => part === null && meter.secondOf === null);
  if (played.every(({ read }) => read !== 'read') || (startOf(played) ?? sinceMs) !== sinceMs) return null;
  const tests = shares.filter(({ meter }) => meter.tender === 'test-plays');
  const sums = [...played.map(({ intervals, read }) => ({ sign: 1n, minor: read === 'read' ? sumOf(intervals) : null })), ...tests.map(({ intervals, read }) => ({ sign: -1n, minor: read === 'read' ? sumOf(intervals) : null }))];
  return sums.reduce<bigint | null>((sum, { sign, minor }) => (sum === null || minor === null ? null : sum + sign * minor), 0n);
}

function sumOf(intervals: readonly MeterInterval[]): bigint | null {
  let sum = 0n;
  for (const { valueMinor } of intervals) {
    if (valueMinor === null) return null;
    sum += valueMinor;
  }
  return sum;
}
