import { formatInstant } from '#contracts/format';
import type { KeyInventorySchedule } from '#contracts/key-inventory';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { policyAt } from '../policy/policy';
import { selectCustodianChanges, selectSchedule } from './schedule.sql';

/** When the keys were last counted and are next, and which stores are to be counted because their custodian changed. */
export async function readKeyInventorySchedule(deps: Backoffice, caller: Caller): Promise<Outcome<KeyInventorySchedule>> {
  return perform(deps, caller, 'key-inventory.read', async ({ tx, now }) => {
    const { inventoryEveryMonths: everyMonths } = await policyAt(tx, now);
    const schedule = await selectSchedule(tx, { everyMonths, now });
    const changes = await selectCustodianChanges(tx, now);
    return done({
      everyMonths,
      lastClosedOn: schedule.last_closed_on,
      nextDueOn: schedule.next_due_on,
      overdue: schedule.overdue,
      custodianChanges: changes.map((row) => ({
        store: { storeId: row.store_id, code: row.store_code, name: row.store_name },
        custodian: { personId: row.person_id, code: row.person_code, name: row.person_name },
        changedAt: formatInstant(row.changed_at),
        dueOn: row.due_on,
        overdue: row.overdue,
      })),
    });
  });
}
