/**
 * The cash that meters say lay in a box when it was emptied, per tender: what went in, less test plays, less what the
 * machine paid back. Coins and notes are never netted, where meters know them: plays are paid in either, so that a board which
 * counts plays alone tells of the cash as a whole.
 *
 * A box holds what went in since it was last emptied, so each interval of a meter belongs to the first collection at or
 * after its end at which that meter was read; an interval of a board that was taken out belongs to the next collection of
 * the machine. Nothing belongs to two, and nothing is lost, however often boards were changed.
 *
 * No collection holds what a machine counted elsewhere: an interval that ends with a stay at a site belongs to the last
 * collection there, and what is played between two sites, in the workshop, belongs to none.
 */
import { belonging, emptyingsOf, type BelongingMeter, type Emptying } from './belonging';
import type { MeterInterval } from './intervals';
import { cashTenders, type Board, type CashTender, type Meter, type MeterTender } from './meter';
import type { Stay } from './stays';

/**
 * Why an amount cannot be said. `not-read`: a meter of the tender was not read at this collection; `first-reading`: not before at this place;
 * `price-unread`: not when what its units are worth changed; `board-unread`: not when its board was opened or cleared.
 */
export type Unknown = 'not-read' | 'first-reading' | 'reset-or-wrong' | 'rollover-or-reset' | 'above-ceiling' | 'price-unread' | 'board-unread';

export type ExpectedCash = {
  readonly collectionId: string;
  readonly tender: CashTender;
  /** Minor units; null where `unknown` says why. Below zero where more was paid back than went in. */
  readonly expectedMinor: bigint | null;
  readonly unknown: readonly Unknown[];
  /** Value of the intervals that belong to it and are known. Where a meter was only not read, the rest comes with its next reading. */
  readonly knownMinor: bigint;
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

/** The part that a meter has in a tender of its board. */
type Part = { readonly tender: CashTender; readonly sign: 1n | -1n };

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
  const told = [...read, ...unread.filter(isTold)].sort((one, other) => one.atMs - other.atMs);
  return told.flatMap((emptying) => {
    const shares = inOneTender(meters.flatMap((meter) => shareOf(meter, emptying)));
    const told = cashTenders.filter((tender) => shares.some(({ part }) => part?.tender === tender));
    return told.map((tender, place) => {
      const own = shares.flatMap(({ part, ...share }) => (part?.tender === tender ? [{ ...share, part }] : []));
      return { ...expectedOf(own, { tender, emptying, shares }), playsMinor: place === 0 ? playedOf(shares) : null };
    });
  });
}

/** What says where a meter counts. */
export type MeterKind = { readonly tender: MeterTender; readonly secondOf: string | null };

/**
 * Where a meter counts; null for a witness. A second counter is one always. Plays stand for coins and notes together on a board
 * that counts no cash itself, and are a witness beside one that does. Test plays and what is paid back are coins, unless the board
 * takes none or does not know them.
 */
export function partOf({ tender, secondOf }: MeterKind, board: { readonly meters: readonly MeterKind[] }): Part | null {
  if (secondOf !== null) return null;
  const counts = (kind: MeterTender) => board.meters.some((meter) => meter.tender === kind);
  switch (tender) {
    case 'coin':
    case 'note':
      return { tender, sign: 1n };
    case 'plays':
      return counts('coin') || counts('note') ? null : { tender: 'cash', sign: 1n };
    case 'test-plays':
    case 'refunds':
      return { tender: counts('coin') ? 'coin' : counts('note') ? 'note' : 'cash', sign: -1n };
  }
}

/**
 * Where a board that knows coins and notes came for one that counts plays alone, or the other way, the box holds what both counted,
 * and nothing tells its coins. A board of plays that was fitted as the box was emptied has no part in that yet.
 */
function inOneTender(shares: readonly Share[]): readonly Share[] {
  const together = shares.filter(({ part }) => part?.tender === 'cash');
  const hasPart = together.some(({ intervals, read }) => intervals.length > 0 || read !== 'read');
  const isAlone = shares.every(({ part }) => part === null || part.tender === 'cash');
  if (!hasPart && !isAlone) return shares.filter((share) => !together.includes(share));
  return together.length === 0 ? shares : shares.map((share) => (share.part === null ? share : { ...share, part: { ...share.part, tender: 'cash' } }));
}

type Share = { readonly meter: Meter; readonly part: Part | null; readonly intervals: readonly MeterInterval[]; readonly read: 'read' | 'not-read' | 'first-reading'; readonly mixed: boolean };

/** What a meter adds to one collection; nothing where its board has no part in it. */
function shareOf({ board, meter, part, readAt, byCollection, readAtRemoval, mixedIn }: BelongingMeter & { readonly part: Part | null }, { collectionId, atMs }: Emptying): Share[] {
  const inMachine = board.fittedMs <= atMs && (board.removedMs === null || atMs < board.removedMs);
  const intervals = byCollection.get(collectionId) ?? [];
  if (mixedIn.has(collectionId)) return [{ meter, part, intervals, read: readAt.has(collectionId) ? 'first-reading' : 'not-read', mixed: true }];
  if (!inMachine && intervals.length === 0) return [];
  // A board fitted during the visit has earned nothing yet; one fitted before it was read too late to say.
  const isNew = board.fittedMs === atMs;
  const tooLate = intervals.length === 0 && !isNew;
  const isRead = isNew || readAt.has(collectionId) || readAtRemoval.has(collectionId) || intervals.some(({ to }) => to.atMs > atMs);
  return [{ meter, part, intervals, read: inMachine && !isRead ? 'not-read' : tooLate ? 'first-reading' : 'read', mixed: false }];
}

function expectedOf(own: readonly (Share & { readonly part: Part })[], { tender, emptying, shares }: { readonly tender: CashTender; readonly emptying: Emptying; readonly shares: readonly Share[] }): Omit<ExpectedCash, 'playsMinor'> {
  const unknown = new Set<Unknown>();
  let expectedMinor = 0n;
  for (const { part, intervals, read } of own) {
    if (read !== 'read') unknown.add(read);
    for (const { difference, valueMinor, acrossPrices, acrossOpening } of intervals) {
      if (acrossOpening) unknown.add('board-unread');
      else if (difference.kind === 'reset-or-wrong' || difference.kind === 'rollover-or-reset' || difference.kind === 'above-ceiling') unknown.add(difference.kind);
      else if (acrossPrices) unknown.add('price-unread');
      expectedMinor += part.sign * (valueMinor ?? 0n);
    }
  }
  const starts = own.flatMap(({ intervals }) => intervals.map(({ from }) => from.atMs));
  const apart = unknown.size === 0 ? apartOf(own, shares) : null;
  return {
    collectionId: emptying.collectionId,
    tender,
    expectedMinor: unknown.size === 0 ? expectedMinor : null,
    unknown: [...unknown].sort(),
    knownMinor: expectedMinor,
    mixed: own.some(({ mixed }) => mixed),
    unseenRoundMinor: own.flatMap(({ part, intervals }) => (part.sign < 0n ? [] : intervals.flatMap(({ unseenRoundMinor: round }) => round ?? []))).reduce<bigint | null>((least, each) => (least === null || each < least ? each : least), null),
    sinceMs: starts.reduce((earliest, each) => Math.min(earliest, each), emptying.atMs),
    second: apart === null ? null : { expectedMinor: expectedMinor + apart.reduce((sum, each) => sum + each, 0n), apartMinor: apart.reduce((sum, each) => sum + (each < 0n ? -each : each), 0n) },
  };
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

/** The price of what was played on boards that count plays beside cash; tests are no play that anybody paid for. */
function playedOf(shares: readonly Share[]): bigint | null {
  const played = shares.filter(({ meter, part }) => part === null && meter.secondOf === null);
  if (played.every(({ read }) => read !== 'read')) return null;
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
