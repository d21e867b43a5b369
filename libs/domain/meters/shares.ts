/** What each meter of a machine tells of an emptying of its box, and with what of it the next one is told. */
import type { BelongingMeter, Emptying } from './belonging';
import type { MeterInterval } from './intervals';
import type { CashTender, Meter } from './meter';
import type { Part } from './part';

/**
 * Where a board that knows coins and notes came for one that counts plays alone, or the other way, the box holds what both counted,
 * and nothing tells its coins. A board of plays that was fitted as the box was emptied has no part in that yet.
 */
export function inOneTender(shares: readonly Share[]): readonly Share[] {
  const together = shares.filter(({ part }) => part?.tender === 'cash');
  const hasPart = together.some(({ intervals, read }) => intervals.length > 0 || read !== 'read');
  const isAlone = shares.every(({ part }) => part === null || part.tender === 'cash');
  if (!hasPart && !isAlone) return shares.filter((share) => !together.includes(share));
  return together.length === 0 ? shares : shares.map((share) => (share.part === null ? share : { ...share, part: { ...share.part, tender: 'cash' } }));
}

/** What a meter tells of one emptying. `isAwaited`: it was not read, and its board is still there to be. */
export type Told = { readonly intervals: readonly MeterInterval[]; readonly read: 'read' | 'not-read' | 'first-reading'; readonly mixed: boolean; readonly isAwaited: boolean };

/**
 * What a meter tells since all meters of its tender were last read. `here`: of this emptying alone; null where its board had no part in
 * it. `waitedAs`: the tender in which it first waited; null where it did not.
 */
export type Share = Pick<Told, 'intervals' | 'read'> & { readonly meter: Meter; readonly part: Part | null; readonly here: Told | null; readonly waitedAs: CashTender | null };

/** What a meter adds to one collection; nothing where its board has no part in it. */
export function shareOf({ board, meter, part, ...belongs }: BelongingMeter & { readonly part: Part | null }, emptying: Emptying): Share[] {
  const here = toldOf({ board, ...belongs }, emptying);
  return here === null ? [] : [{ meter, part, intervals: here.intervals, read: here.read, here, waitedAs: null }];
}

function toldOf({ board, readAt, byCollection, readAtRemoval, mixedIn }: Omit<BelongingMeter, 'meter'>, { collectionId, atMs }: Emptying): Told | null {
  const inMachine = board.fittedMs <= atMs && (board.removedMs === null || atMs < board.removedMs);
  const intervals = byCollection.get(collectionId) ?? [];
  if (mixedIn.has(collectionId)) return { intervals, read: readAt.has(collectionId) ? 'first-reading' : 'not-read', mixed: true, isAwaited: inMachine && !readAt.has(collectionId) };
  if (!inMachine && intervals.length === 0) return null;
  // A board fitted during the visit has earned nothing yet; one fitted before it was read too late to say.
  const isNew = board.fittedMs === atMs;
  const tooLate = intervals.length === 0 && !isNew;
  const isRead = isNew || readAt.has(collectionId) || readAtRemoval.has(collectionId) || intervals.some(({ to }) => to.atMs > atMs);
  return { intervals, read: inMachine && !isRead ? 'not-read' : tooLate ? 'first-reading' : 'read', mixed: false, isAwaited: inMachine && !isRead };
}

/** What meters tell of an emptying, after what they told of those before for which it waited. */
export function together(waiting: readonly Share[], here: readonly Share[]): readonly Share[] {
  const before = new Map(waiting.map((share) => [share.meter.id, share]));
  const gone = waiting.filter(({ meter }) => here.every((share) => share.meter.id !== meter.id));
  return [...gone, ...here.map((share) => after(before.get(share.meter.id), share))];
}

function after(before: Share | undefined, share: Share): Share {
  if (before === undefined) return share;
  // A later reading says what was played while it was not read, but never what was before its first.
  return { ...before, intervals: [...before.intervals, ...share.intervals], read: before.read === 'first-reading' ? 'first-reading' : share.read, here: share.here };
}

/**
 * What the next emptying is told with: all of a tender of which a meter was not read, second counters with their firsts, and plays beside cash
 * where every tender waits.
 */
export function waitingOf(shares: readonly Share[], tenders: readonly CashTender[]): readonly Share[] {
  const open = tenders.filter((tender) => isOpen(shares.filter(({ part }) => part?.tender === tender)));
  const tenderOf = ({ part, meter }: Share): CashTender | null => part?.tender ?? shares.find((first) => first.meter.id === meter.secondOf)?.part?.tender ?? null;
  return shares.flatMap((share) => {
    const tender = tenderOf(share);
    const waits = tender === null ? open.length === tenders.length : open.includes(tender);
    return waits ? [{ ...share, here: null, waitedAs: share.waitedAs ?? share.part?.tender ?? null }] : [];
  });
}

/** Whether a tender waits for one of its meters. */
export function isOpen(own: readonly Pick<Share, 'here'>[]): boolean {
  return own.some(({ here }) => here?.isAwaited === true);
}
