/**
 * What has to be done, and until when, once keys of a cut are lost. Moments are milliseconds, whatever they count from.
 */
import { standingFacts, type CustodyFact } from './custody';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;

/**
 * How long after the loss was noticed a lock may go on taking the lost key.
 *
 * - `cashBox`: K.A.R. 112-104-34(b), all locks that a lost critical key fits are changed within 24 hours.
 * - `boxEmptied`, `secondLock`: what an interim step buys, from when it was done; no source, our default. A box fills
 *   again, so three days; behind a second lock only the change itself is still owed, so a week.
 * - `access`: no source, our default. The key reaches no money, only free plays and mischief; in two weeks the usual round
 *   passes every site once, so that no extra trip is made for a lock.
 */
export const lockDeadlineMs = { cashBox: DAY_MS, boxEmptied: 3 * DAY_MS, secondLock: 7 * DAY_MS, access: 14 * DAY_MS } as const;

export type InterimStep = { readonly kind: 'box-emptied' | 'second-lock'; readonly at: number };

/** A lock that takes the cut, or took it when the loss was noticed. */
export type CaseLock = {
  readonly lockId: string;
  readonly class: 'access' | 'cash-box';
  /** What probably lies behind it; `null` where it reaches no money or nobody can say. */
  readonly exposedMinor: bigint | null;
  /** When somebody could first know that this lock is in danger: the loss was noticed, and the lock was in the books. */
  readonly knownAt: number;
  /** When it was changed or taken off; `null`: it still takes the key. */
  readonly removedAt: number | null;
  readonly interim: readonly InterimStep[];
};

export type PlannedLock = {
  readonly lockId: string;
  /** `secured`: still takes the lost key, but an interim step was taken and is not used up. */
  readonly state: 'open' | 'secured' | 'changed';
  readonly dueAt: number;
  /** Not changed though it was due, or changed only after that. */
  readonly overdue: boolean;
};

/** Until when the lock has to be changed. An interim step never shortens the time. */
export function lockDueAt(lock: Pick<CaseLock, 'class' | 'knownAt' | 'interim'>): number {
  if (lock.class === 'access') return lock.knownAt + lockDeadlineMs.access;
  return Math.max(lock.knownAt + lockDeadlineMs.cashBox, ...lock.interim.map(securedUntil));
}

/** Every lock with its deadline: those that reach money first, and of them the richest first; what is done comes last. */
export function planLocks(input: { readonly now: number; readonly locks: readonly CaseLock[] }): PlannedLock[] {
  return [...input.locks].sort(mostUrgentFirst).map((lock): PlannedLock => {
    const dueAt = lockDueAt(lock);
    if (lock.removedAt !== null && lock.removedAt <= input.now) return { lockId: lock.lockId, state: 'changed', dueAt, overdue: lock.removedAt > dueAt };
    const secured = lock.class === 'cash-box' && lock.interim.some((step) => securedUntil(step) >= input.now);
    return { lockId: lock.lockId, state: secured ? 'secured' : 'open', dueAt, overdue: input.now > dueAt };
  });
}

export type CaseProgress = { readonly locks: number; readonly changed: number; readonly secured: number; readonly overdue: number; readonly nextDueAt: number | null };

/** How far a plan is. `overdue` and `nextDueAt` speak of locks that still take the key. */
export function progressOf(plan: readonly PlannedLock[]): CaseProgress {
  const left = plan.filter(({ state }) => state !== 'changed');
  return {
    locks: plan.length,
    changed: plan.length - left.length,
    secured: left.filter(({ state }) => state === 'secured').length,
    overdue: left.filter(({ overdue }) => overdue).length,
    nextDueAt: left.length === 0 ? null : Math.min(...left.map(({ dueAt }) => dueAt)),
  };
}

/**
 * The last moment at which the books place a copy with somebody before it was reported missing: from then on another may
 * have had it. `null` for a copy of which nothing else stands in the books.
 */
export function surelyHeldUntil(facts: readonly CustodyFact[], missing: { readonly eventId: string; readonly happenedAt: number }): number | null {
  const before = standingFacts(facts).filter((fact) => fact.eventId !== missing.eventId && fact.happenedAt <= missing.happenedAt && fact.says !== 'reported-missing');
  return before.at(-1)?.happenedAt ?? null;
}

function securedUntil({ kind, at }: InterimStep): number {
  return at + (kind === 'box-emptied' ? lockDeadlineMs.boxEmptied : lockDeadlineMs.secondLock);
}

function mostUrgentFirst(left: CaseLock, right: CaseLock): number {
  const rank = (lock: CaseLock): number => (lock.removedAt !== null ? 2 : lock.class === 'cash-box' ? 0 : 1);
  if (rank(left) !== rank(right)) return rank(left) - rank(right);
  const [leftMinor, rightMinor] = [left.exposedMinor ?? 0n, right.exposedMinor ?? 0n];
  if (leftMinor !== rightMinor) return leftMinor > rightMinor ? -1 : 1;
  return left.lockId < right.lockId ? -1 : 1;
}
