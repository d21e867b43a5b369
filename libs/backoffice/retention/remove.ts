import { constraintViolationOf } from '#database/constraint';
import { listTenantIds, withTenant } from '#database/tenant';
import { retentionKinds, type RetentionKind } from '#domain/retention/kinds';
import type { Backoffice } from '../dependencies';
import { goesBefore, isNightSince, readKeeping } from './keeping';
import { isHeld, removeExpired } from './retention.sql';

/** A transaction of so many ends within a second, and nobody waits long behind it. */
const BATCH = 2_000;

type Deps = Pick<Backoffice, 'database' | 'clock'>;
type Options = { readonly onTrouble: (error: unknown) => void; readonly signal?: AbortSignal; readonly batch?: number };

/**
 * Removes what need not be kept any more: of each operator and kind once a day, in batches of a transaction each, so that whoever is
 * killed has done all of a batch or nothing of it, and the next goes on behind it. Two at once share the work. What was decided, and
 * what a lifted hold had kept, goes from the next day on, so that whoever errs has the rest of the day.
 */
export async function removeWhatIsOver(deps: Deps, options: Options): Promise<number> {
  let removed = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    for (const kind of retentionKinds) {
      for (let goesOn = true; goesOn && options.signal?.aborted !== true; ) {
        const batch = await removeBatch(deps, { tenantId, kind, atMost: options.batch ?? BATCH }).catch((error: unknown) => {
          options.onTrouble(error);
          return { removed: 0, isOver: true };
        });
        removed += batch.removed;
        goesOn = !batch.isOver;
      }
    }
  }
  return removed;
}

async function removeBatch(deps: Deps, { tenantId, kind, atMost }: { tenantId: string; kind: RetentionKind; atMost: number }): Promise<{ removed: number; isOver: boolean }> {
  try {
    return await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:retention' }, async (tx) => {
      if (await isHeld(tx)) return { removed: 0, isOver: true };
      const now = deps.clock.now();
      const keeping = await readKeeping(tx, now);
      const before = await goesBefore(tx, keeping, { kind, now });
      if (before === null || !isNightSince(keeping, kind)) return { removed: 0, isOver: true };
      return removeExpired(tx, { kind, before, atMost, now });
    });
  } catch (error) {
    // As long as a hold stands, or an office was not at work for weeks, there is nothing to do and nothing to report.
    if (['retention_hold_stands', 'retention_run_clock_trusted'].includes(constraintViolationOf(error)?.constraint ?? '')) return { removed: 0, isOver: true };
    throw error;
  }
}
