import { formatInstant } from '#contracts/format';
import type { KeyCaseSummary } from '#contracts/key-case';
import { planLocks, progressOf, type CaseLock, type PlannedLock } from '#domain/keys/case-plan';
import type { CaseLockRow, CaseRow, StepRow } from './read.sql';

/** What a plan is made from: the case, its locks, what was confirmed, and the cash by machine where it is known. */
type Planned = { readonly locks: readonly CaseLockRow[]; readonly steps: readonly StepRow[]; readonly cashMinor?: ReadonlyMap<string, bigint> };

export function toPlan(row: CaseRow, { locks, steps, cashMinor }: Planned, now: Date): PlannedLock[] {
  return planLocks({
    // A case that is over stands as it stood then.
    now: (row.closed_at ?? now).getTime(),
    locks: locks.map((lock): CaseLock => ({
      lockId: lock.lock_id,
      class: lock.class,
      exposedMinor: lock.class === 'cash-box' ? (cashMinor?.get(lock.machine_id) ?? null) : null,
      knownAt: Math.max(row.happened_at.getTime(), lock.recorded_at.getTime()),
      removedAt: lock.removed_at?.getTime() ?? null,
      interim: steps.flatMap(({ kind, machine_lock_id: lockId, happened_at: at }) =>
        lockId === lock.lock_id && (kind === 'box-emptied' || kind === 'second-lock') ? [{ kind, at: at.getTime() }] : [],
      ),
    })),
  });
}

export function toProgress(row: CaseRow, planned: Planned, now: Date): KeyCaseSummary['progress'] {
  const progress = progressOf(toPlan(row, planned, now));
  return { ...progress, nextDueAt: progress.nextDueAt === null ? null : formatInstant(new Date(progress.nextDueAt)) };
}
