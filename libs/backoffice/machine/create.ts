import type { CreateMachine, Machine } from '#contracts/machine';
import { done, underField, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { installInNewMachine } from '../installation/create';
import { perform } from '../perform';
import { placeNewMachine } from '../placement/create';
import { taken } from '../refusal';
import { insertMachine, selectMachine } from './machine.sql';
import { machineConstraints, toMachine } from './to-machine';

const constraints = {
  ...machineConstraints,
  placement_pkey: taken(['placement', 'id'], 'a placement with this id'),
  installation_pkey: taken(['installation', 'id'], 'an installation with this id'),
};

/** Records a machine that the operator has acquired, and where it stands with which game in it if that is said, too. */
export async function createMachine(deps: Backoffice, caller: Caller, command: CreateMachine): Promise<Outcome<Machine>> {
  return perform(
    deps,
    caller,
    'machine.create',
    async ({ tx, now }) => {
      const id = command.id ?? deps.newId();
      await insertMachine(tx, { id, tag: command.tag, kind: command.kind, serial_number: command.serialNumber, acquired_on: command.acquiredOn, now });
      const { placement, installation } = command;
      const machine = { tag: command.tag, acquired_on: command.acquiredOn, disposed_on: null };
      if (placement !== undefined) {
        const fields = { placedOn: 'placedOn', removedOn: 'placedOn' };
        const placed = await placeNewMachine(tx, { ...placement, id: placement.id ?? deps.newId(), machineId: id, removedOn: null, now, fields }, machine);
        if (!placed.ok) return underField('placement', placed);
      }
      if (installation !== undefined) {
        const fields = { installedOn: 'installedOn', removedOn: 'installedOn' };
        const installed = await installInNewMachine(tx, { ...installation, id: installation.id ?? deps.newId(), machineId: id, removedOn: null, now, fields }, machine);
        if (!installed.ok) return underField('installation', installed);
      }
      const row = await selectMachine(tx, { id, now });
      if (row === null) throw new Error(`machine ${id} was not stored`);
      return done(toMachine(row));
    },
    { constraints },
  );
}
