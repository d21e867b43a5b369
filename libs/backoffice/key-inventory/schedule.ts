import { formatInstant } from '#contracts/format';
import type { KeyInventorySchedule } from '#contracts/key-inventory';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { csvTable } from '../csv';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { policyAt } from '../policy/policy';
import { selectCustodianChanges, selectOldLocks, selectSchedule } from './schedule.sql';

/**
 * When the keys were last counted and are next, which stores are to be counted because their custodian changed, and which locks
 * were not changed within twelve months.
 */
export async function readKeyInventorySchedule(deps: Backoffice, caller: Caller): Promise<Outcome<KeyInventorySchedule>> {
  return perform(deps, caller, 'key-inventory.read', async ({ tx, now }) => done(await scheduleAt(tx, now)));
}

const columns = ['what', 'store', 'store_name', 'custodian', 'custodian_name', 'machine', 'place', 'opens', 'code', 'since', 'due', 'overdue'] as const;

export async function exportKeyInventorySchedule(deps: Backoffice, caller: Caller): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-inventory.read', async ({ tx, now }) => {
    const schedule = await scheduleAt(tx, now);
    const yesOrNo = (is: boolean): string => (is ? 'yes' : 'no');
    const lines = [
      { what: 'count', since: schedule.lastClosedOn, due: schedule.nextDueOn, overdue: yesOrNo(schedule.overdue) },
      ...schedule.custodianChanges.map(({ store, custodian, changedAt, dueOn, overdue }) => ({
        what: 'custodian-change', store: store.code, store_name: store.name, custodian: custodian.code, custodian_name: custodian.name, since: changedAt, due: dueOn, overdue: yesOrNo(overdue),
      })),
      ...schedule.oldLocks.map((lock) => ({
        what: 'old-lock', machine: lock.machineTag, place: lock.place, opens: lock.opens, code: lock.code, since: lock.fittedAt, due: lock.changeDueOn, overdue: 'yes',
      })),
    ];
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: 'key-inventory-schedule.csv' });
  });
}

async function scheduleAt(tx: TenantTransaction, now: Date): Promise<KeyInventorySchedule> {
  const { inventoryEveryMonths: everyMonths } = await policyAt(tx, now);
  const schedule = await selectSchedule(tx, { everyMonths, now });
  const changes = await selectCustodianChanges(tx, now);
  const locks = await selectOldLocks(tx, now);
  return {
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
    oldLocks: locks.map((row) => ({
      lockId: row.id,
      machineId: row.machine_id,
      machineTag: row.machine_tag,
      place: row.place,
      opens: row.opens,
      keyCodeId: row.key_code_id,
      code: row.code,
      fittedAt: formatInstant(row.fitted_at),
      changeDueOn: row.change_due_on,
    })),
  };
}
