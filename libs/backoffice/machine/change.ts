import type { ChangeMachine, Machine } from '#contracts/machine';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { lockMachine, selectMachine, selectMachineTies, updateMachine, type MachineRow } from './machine.sql';
import { machineConstraints, toMachine } from './to-machine';

/** Changes what is said about a machine. Its placements stay within the days on which the operator has it. */
export async function changeMachine(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeMachine },
): Promise<Outcome<Machine>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'machine.change',
    async ({ tx, now }) => {
      const before = await lockMachine(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const after: MachineRow = {
        ...before,
        tag: change.tag ?? before.tag,
        kind: change.kind ?? before.kind,
        serial_number: change.serialNumber === undefined ? before.serial_number : change.serialNumber,
        acquired_on: change.acquiredOn ?? before.acquired_on,
        disposed_on: change.disposedOn === undefined ? before.disposed_on : change.disposedOn,
      };
      const wrong = await tiesBroken(tx, before, after);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await updateMachine(tx, after);
      const row = await selectMachine(tx, { id, now });
      if (row === null) throw new Error(`machine ${id} is gone`);
      return done(toMachine(row));
    },
    { constraints: machineConstraints },
  );
}

async function tiesBroken(tx: TenantTransaction, before: MachineRow, after: MachineRow): Promise<WrongField[]> {
  const ties = await selectMachineTies(tx, { id: after.id, acquiredOn: after.acquired_on, disposedOn: after.disposed_on });
  const wrong: WrongField[] = [];
  if (ties.placed_before !== null) {
    wrong.push({ path: ['acquiredOn'], code: 'after-first-placement', message: `It was placed at site ${ties.placed_before} earlier.` });
  }
  if (ties.placed_after !== null) {
    wrong.push({ path: ['disposedOn'], code: 'still-placed', message: `It still stands at site ${ties.placed_after} then: remove it first.` });
  }
  if (after.kind !== before.kind && ties.settled) {
    // Kind decides tax and pool, and it is not dated: another one would change months that are settled already.
    wrong.push({ path: ['kind'], code: 'settled-already', message: 'The machine was settled as what it is: record a converted cabinet as a new machine.' });
  }
  return wrong;
}
