import type { Machine } from '#contracts/machine';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { PlacedMachineRow } from './machine.sql';

/** A stored machine as the API shows it. */
export function toMachine(row: PlacedMachineRow): Machine {
  const { placement_id: id, site_id: siteId, site_code: siteCode, placed_on: placedOn } = row;
  return {
    id: row.id,
    tag: row.tag,
    kind: row.kind,
    serialNumber: row.serial_number,
    acquiredOn: row.acquired_on,
    disposedOn: row.disposed_on,
    placement: id === null || siteId === null || siteCode === null || placedOn === null ? null : { id, siteId, siteCode, placedOn },
    revision: row.revision,
  };
}

export const machineConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  machine_pkey: taken(['id'], 'a machine with this id'),
  machine_tenant_id_tag_key: taken(['tag'], 'a machine with this tag'),
  machine_dates: fieldFailure('invalid-command', { path: ['disposedOn'], code: 'not-after-acquisition', message: 'A machine is disposed of after the day it was acquired.' }),
};
