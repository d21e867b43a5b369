import type { MachineLock, MachineLockListQuery } from '#contracts/machine-lock';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectLock, selectLocks } from './machine-lock.sql';

export async function readMachineLock(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<MachineLock>> {
  return perform(deps, caller, 'machine-lock.read', async ({ tx }) => {
    const lock = await selectLock(tx, id);
    return lock === null ? refused('not-found') : done(lock);
  });
}

const cursorSchema = z.tuple([z.uuid()]);

/** Locks in the order in which they were recorded. */
export async function listMachineLocks(deps: Backoffice, caller: Caller, query: MachineLockListQuery): Promise<Outcome<Page<MachineLock>>> {
  return perform(deps, caller, 'machine-lock.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectLocks(tx, {
      after: after?.[0] ?? null,
      limit: query.limit,
      machineId: query.machineId ?? null,
      siteId: query.siteId ?? null,
      keyCodeId: query.keyCodeId ?? null,
      inPlace: query.inPlace === undefined ? null : query.inPlace === 'yes',
      fittedBefore: query.fittedBefore ?? null,
    });
    return done(toPage({ rows, limit: query.limit, item: (lock) => lock, keyOf: (lock) => [lock.id] }));
  });
}
