import type { FitLocksAtSites, FittedAtSites } from '#contracts/machine-lock';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeyCode } from '../key-code/key-code.sql';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { selectUnknownSites } from '../site/site.sql';
import { lockConstraints } from './constraints';
import { classOf, classRule } from './fit';
import { changeLocks, holdMachinesAtSites, insertLocks, type MachineAtSite } from './machine-lock.sql';

/**
 * One kind of lock on every machine of many sites, as whoever begins has them: a few cuts, hundreds of machines. A machine
 * that has a lock there already keeps it, and is told; or gets this one instead, where that is asked with a reason.
 */
export async function fitLocksAtSites(deps: Backoffice, caller: Caller, command: FitLocksAtSites): Promise<Outcome<FittedAtSites>> {
  const { siteIds, place, opens, keyCodeId, change } = command;
  return perform(
    deps,
    caller,
    'machine-lock.fit',
    async ({ tx, now }) => {
      const at = momentOf(command.fittedAt, { now, field: 'fittedAt' });
      if (!at.ok) return at;
      const key = await selectKeyCode(tx, keyCodeId);
      if (key === null) return refusedFields('invalid-command', [{ path: ['keyCodeId'], code: 'unknown', message: 'There is no key code with this id.' }]);
      if (key.class !== classOf(opens)) return refusedFields('invalid-command', [{ path: ['keyCodeId'], code: 'other-class', message: classRule({ code: key.code, opens }) }]);
      const unknown = await selectUnknownSites(tx, siteIds);
      if (unknown.length > 0) return refusedFields('invalid-command', unknown.map((id) => ({ path: ['siteIds', siteIds.indexOf(id)], code: 'unknown', message: 'There is no site with this id.' })));
      const machines = await holdMachinesAtSites(tx, { siteIds, place, opens, at: at.value });
      const free = machines.filter((machine) => machine.lock_id === null);
      const changed = change === undefined ? [] : machines.filter((machine) => isChanged(machine, { opens, code: key.code, at: at.value }));
      if (change !== undefined && changed.length > 0) {
        const locks = changed.flatMap(({ lock_id: oldId }) => (oldId === null ? [] : [{ oldId, newId: deps.newId() }]));
        await changeLocks(tx, { locks, keyCodeId, at: at.value, now, reason: change.reason });
      }
      await insertLocks(tx, { locks: free.map((machine) => ({ id: deps.newId(), machineId: machine.id, place, opens, class: key.class, keyCodeId, fittedAt: at.value })), now });
      return done({
        fitted: free.length,
        changed: changed.length,
        leftAlone: machines.filter((machine) => !changed.includes(machine)).flatMap(({ id, tag, site_code: siteCode, taken_by: keyCode }) => (keyCode === null ? [] : [{ machineId: id, machineTag: tag, siteCode, keyCode }])),
      });
    },
    { constraints: lockConstraints },
  );
}

/** Only a lock that is still there, opens the same, and takes another cut; a door less on a machine is not decided by the way. */
function isChanged(machine: MachineAtSite, to: { opens: FitLocksAtSites['opens']; code: string; at: Date }): boolean {
  return machine.lock_id !== null && machine.lock_stays && machine.lock_opens === to.opens && machine.taken_by !== to.code && machine.lock_fitted_at < to.at;
}
