import type { TenantTransaction } from '#database/tenant';
import { expectedCashOf, type ExpectedCash } from '#domain/meters/expected-cash';
import { selectMeters } from './meter.sql';
import { selectReadingsBehind } from './reading.sql';
import { groupBy, toBoards } from './to-board';

export type MachineExpectedCash = ExpectedCash & { readonly machineId: string };

/**
 * What the meters say lay in the boxes that these collections emptied, per machine and tender. Nothing of a machine of
 * which no meter was read then. Three statements, whatever the number: from the readings that they need, back to the
 * collection at which each meter was read before.
 */
export async function expectedCash(tx: TenantTransaction, collectionIds: readonly string[]): Promise<MachineExpectedCash[]> {
  const wanted = new Set(collectionIds);
  const machineIds = await selectMachinesRead(tx, collectionIds);
  if (machineIds.length === 0) return [];
  const meters = await selectMeters(tx, machineIds);
  const readings = groupBy(await selectReadingsBehind(tx, collectionIds), ({ meter_id: meterId }) => meterId);
  return [...groupBy(meters, ({ machine_id: machineId }) => machineId)].flatMap(([machineId, own]) =>
    expectedCashOf(toBoards(own, own.flatMap(({ id }) => readings.get(id) ?? [])))
      .filter(({ collectionId }) => wanted.has(collectionId))
      .map((expected) => ({ ...expected, machineId })),
  );
}

async function selectMachinesRead(tx: TenantTransaction, collectionIds: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ machine_id: string }>('SELECT DISTINCT machine_id FROM meter_reading WHERE tenant_id = $1 AND collection_id = ANY ($2::uuid[])', [tx.tenantId, collectionIds]);
  return rows.map((row) => row.machine_id);
}
