import type { CreateMachine, Machine } from '#contracts/machine';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { insertMachine, selectMachine } from './machine.sql';
import { machineConstraints, toMachine } from './to-machine';

/** Records a machine that the operator has acquired. It stands in the shop until it is placed. */
export async function createMachine(deps: Backoffice, caller: Caller, command: CreateMachine): Promise<Outcome<Machine>> {
  return perform(
    deps,
    caller,
    'machine.create',
    async ({ tx, now }) => {
      const id = command.id ?? deps.newId();
      await insertMachine(tx, { id, tag: command.tag, kind: command.kind, serial_number: command.serialNumber, acquired_on: command.acquiredOn, now });
      const row = await selectMachine(tx, { id, now });
      if (row === null) throw new Error(`machine ${id} was not stored`);
      return done(toMachine(row));
    },
    { constraints: machineConstraints },
  );
}
