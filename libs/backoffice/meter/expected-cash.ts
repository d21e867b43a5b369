import type { TenantTransaction } from '#database/tenant';
import { expectedCashOf, type ExpectedCash } from '#domain/meters/expected-cash';
import { selectMeters } from './meter.sql';
import { selectEmptyings, selectReadingsBehind } from './reading.sql';
import { selectStays } from './stay.sql';
import { groupBy, toBoards } from './to-board';

export type MachineExpectedCash = ExpectedCash & { readonly machineId: string };

/**
 * What the meters say lay in the boxes that these collections emptied, per machine and tender. Nothing of a machine of
 * which no meter was read then, nor at the removal that followed. Four statements, whatever the number: from the readings
 * that they need, back to the collection at which all meters that tell of cash were read before.
 */
export async function expectedCash(tx: TenantTransaction, collectionIds: readonly string[]): Promise<MachineExpectedCash[]> {
  const wanted = new Set(collectionIds);
  const emptyings = await selectEmptyings(tx, collectionIds);
  if (emptyings.length === 0) return [];
  const machineIds = [...new Set(emptyings.map((row) => row.machine_id))];
  const meters = await selectMeters(tx, machineIds);
  const stays = await selectStays(tx, machineIds);
  const readings = groupBy(await selectReadingsBehind(tx, emptyings), ({ meter_id: meterId }) => meterId);
  return [...groupBy(meters, ({ machine_id: machineId }) => machineId)].flatMap(([machineId, own]) => {
    const ownStays = stays.get(machineId) ?? [];
    return expectedCashOf(toBoards(own, own.flatMap(({ id }) => readings.get(id) ?? []), ownStays), ownStays)
      .filter(({ collectionId }) => wanted.has(collectionId))
      .map((expected) => ({ ...expected, machineId }));
  });
}
