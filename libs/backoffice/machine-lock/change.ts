import type { ChangeLock, LockChange, MachineLock, RemoveLock } from '#contracts/machine-lock';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeyCode } from '../key-code/key-code.sql';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { lockConstraints } from './constraints';
import { classRule } from './fit';
import { fitInItsPlace, holdLock, selectLock, takeOffLock } from './machine-lock.sql';

/** Takes a lock off its machine. Which keys opened it until then stays on record. */
export async function removeLock(deps: Backoffice, caller: Caller, command: { readonly id: string } & RemoveLock): Promise<Outcome<MachineLock>> {
  return perform(deps, caller, 'machine-lock.remove', async ({ tx, now }) => {
    const { id, reason } = command;
    const at = await endOf(tx, { id, text: command.removedAt, field: 'removedAt', now });
    if (!at.ok) return at;
    await takeOffLock(tx, { id, at: at.value, recordedAt: now, reason });
    return done(await lockNow(tx, id));
  });
}

/** A lock of another cut in the same place, from the moment at which the old one went. */
export async function changeLock(deps: Backoffice, caller: Caller, command: { readonly lockId: string } & ChangeLock): Promise<Outcome<LockChange>> {
  return perform(
    deps,
    caller,
    'machine-lock.change',
    async ({ tx, now }) => {
      const { lockId, keyCodeId, reason } = command;
      const at = await endOf(tx, { id: lockId, text: command.changedAt, field: 'changedAt', now });
      if (!at.ok) return at;
      const [old, code] = [await lockNow(tx, lockId), await selectKeyCode(tx, keyCodeId)];
      if (code === null) return refusedFields('invalid-command', [{ path: ['keyCodeId'], code: 'unknown', message: 'There is no key code with this id.' }]);
      if (code.class !== old.class) {
        return refusedFields('invalid-command', [{ path: ['keyCodeId'], code: 'other-class', message: classRule({ code: code.code, opens: old.opens }) }]);
      }
      const id = command.id ?? deps.newId();
      await takeOffLock(tx, { id: lockId, at: at.value, recordedAt: now, reason });
      await fitInItsPlace(tx, { id, insteadOfId: lockId, keyCodeId, recordedAt: now });
      return done({ removed: await lockNow(tx, lockId), fitted: await lockNow(tx, id) });
    },
    { constraints: lockConstraints },
  );
}

async function endOf(tx: TenantTransaction, end: { id: string; text: string | undefined; field: string; now: Date }): Promise<Outcome<Date>> {
  const held = await holdLock(tx, end.id);
  if (held === null) return refused('not-found');
  const at = momentOf(end.text, end);
  if (!at.ok) return at;
  if (held.removed_at !== null) {
    return refusedFields('invalid-command', [{ path: [end.field], code: 'removed-already', message: `The lock was taken off at ${held.removed_at.toISOString()}.` }]);
  }
  if (at.value <= held.fitted_at) {
    return refusedFields('invalid-command', [{ path: [end.field], code: 'not-after-fitting', message: `The lock is on the machine since ${held.fitted_at.toISOString()}.` }]);
  }
  return at;
}

async function lockNow(tx: TenantTransaction, id: string): Promise<MachineLock> {
  const lock = await selectLock(tx, id);
  if (lock === null) throw new Error(`lock ${id} is gone`);
  return lock;
}
