/**
 * Who could open something: everybody who had a fitting key at hand while its lock was fitted. Moments are plain numbers
 * that grow; a span reaches from `from` up to, not including, `to` (`null`: still).
 */
import type { Holder } from './custody';

export type Span = { readonly from: number; readonly to: number | null };

/** A lock that is on the thing asked about, for as long as it is fitted. */
export type FittedLock = Span & { readonly lockId: string; readonly keyCodeId: string };

/** A copy that was with one holder, or missing (`holder` is null). */
export type CopyStay = Span & { readonly copyId: string; readonly keyCodeId: string; readonly holder: Holder | null };

/** Somebody who can take keys out of a store or from a named place. */
export type Keeper = Span & { readonly holder: Holder; readonly personId: string; readonly as: 'custodian' | 'user' | 'responsible' };

/** Why somebody is listed: for that time this copy was at hand and this lock took it. */
export type Reason = Span & {
  readonly personId: string;
  readonly via: 'holds' | Keeper['as'];
  readonly copyId: string;
  readonly lockId: string;
  readonly holder: Holder;
};

/** A fitting copy that nobody answers for: missing, or in a store that had no custodian. */
export type Loose = Span & { readonly copyId: string; readonly lockId: string; readonly holder: Holder | null };

export type Openers = { readonly reasons: readonly Reason[]; readonly loose: readonly Loose[] };

/** Reasons and loose copies that touch the time asked about, each for as long as it held, which may reach beyond. */
export function whoCouldOpen(asked: { window: Span; locks: readonly FittedLock[]; stays: readonly CopyStay[]; keepers: readonly Keeper[] }): Openers {
  const reasons: Reason[] = [];
  const loose: Loose[] = [];
  const keepersOf = new Map<string, Keeper[]>();
  for (const keeper of asked.keepers) {
    const key = holderKey(keeper.holder);
    keepersOf.set(key, [...(keepersOf.get(key) ?? []), keeper]);
  }
  for (const lock of asked.locks) {
    for (const stay of asked.stays) {
      const fits = stay.keyCodeId === lock.keyCodeId ? overlap(stay, lock) : null;
      if (fits === null || overlap(fits, asked.window) === null) continue;
      const { copyId, holder } = stay;
      const { lockId } = lock;
      if (holder === null) loose.push({ copyId, lockId, holder, ...fits });
      else if (holder.kind === 'person') reasons.push({ personId: holder.id, via: 'holds', copyId, lockId, holder, ...fits });
      else {
        const spans = (keepersOf.get(holderKey(holder)) ?? []).flatMap((keeper) => {
          const span = overlap(keeper, fits);
          return span === null || overlap(span, asked.window) === null ? [] : [{ keeper, span }];
        });
        reasons.push(...spans.map(({ keeper, span }): Reason => ({ personId: keeper.personId, via: keeper.as, copyId, lockId, holder, ...span })));
        const without = gaps(fits, spans.map(({ span }) => span)).filter((gap) => overlap(gap, asked.window) !== null);
        loose.push(...without.map((gap) => ({ copyId, lockId, holder, ...gap })));
      }
    }
  }
  return { reasons, loose };
}

/**
 * Whether some moment of the window found this person with a key to every lock that was then fitted. Where a box has two
 * locks, one key does not open it.
 */
export function hadKeysToEveryLock(asked: { window: Span; locks: readonly FittedLock[]; reasons: readonly (Span & { readonly lockId: string })[] }): boolean {
  const { window, locks, reasons } = asked;
  const moments = [window.from, ...[...locks, ...reasons].map(({ from }) => from)].filter((moment) => within(moment, window));
  // Between two beginnings keys and locks only become fewer; a lock that goes leaves fewer keys to have, so ends count, too.
  const ends = [...locks, ...reasons].flatMap(({ to }) => (to !== null && within(to, window) ? [to] : []));
  return [...moments, ...ends].some((moment) => {
    const fitted = locks.filter((lock) => within(moment, lock));
    return fitted.length > 0 && fitted.every((lock) => reasons.some((reason) => reason.lockId === lock.lockId && within(moment, reason)));
  });
}

export function overlap(left: Span, right: Span): Span | null {
  const from = Math.max(left.from, right.from);
  const to = left.to === null ? right.to : right.to === null ? left.to : Math.min(left.to, right.to);
  return to !== null && to <= from ? null : { from, to };
}

function within(moment: number, span: Span): boolean {
  return span.from <= moment && (span.to === null || moment < span.to);
}

/** What of a span none of the others covers. */
function gaps(span: Span, others: readonly Span[]): Span[] {
  const found: Span[] = [];
  let from = span.from;
  for (const other of [...others].sort((left, right) => left.from - right.from)) {
    if (other.from > from) found.push({ from, to: other.from });
    if (other.to === null) return found;
    from = Math.max(from, other.to);
  }
  if (span.to === null || from < span.to) found.push({ from, to: span.to });
  return found;
}

function holderKey(holder: Holder): string {
  return `${holder.kind} ${holder.id}`;
}
